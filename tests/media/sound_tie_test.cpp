// Ties by sound: made recordings whose truth is known by construction (bench_sound/sound_room.h), in files as
// cameras write them. The whole table is bench-sound-tie's; here stands a small part of it.
#include "media/sound_tie.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "bench_sound/sound_room.h"
#include "bench_sound/tied.h"
#include "media/internal/real_fft.h"
#include "media/reference.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

using plumbmark::test::TemporaryFolder;

double ms(base::Duration d) {
    return static_cast<double>(d.ns) / 1e6;
}

SoundTieOutcome tied(const bench::Pair& pair, bench::Coded coded = bench::Coded::wave) {
    const TemporaryFolder folder;
    auto outcome = bench::tied(pair, folder.path(), coded);
    INFO((outcome.ok() ? "" : outcome.error().text()));
    REQUIRE(outcome.ok());
    return *outcome;
}

}  // namespace

TEST_CASE("the transform of a wave is the one that its definition gives and leads back to it") {
    RealFft fft(64);
    std::vector<float> wave(64), back(64);
    for (std::size_t n = 0; n < 64; ++n)
        wave[n] = static_cast<float>(std::cos(0.3 + 5 * 2 * 3.14159265358979 * static_cast<double>(n) / 64) +
                                     0.01 * static_cast<double>(n * n % 17));
    std::vector<float> copy = wave;
    std::vector<std::complex<float>> spectrum(33);
    fft.forward(copy, spectrum);
    for (std::size_t k = 0; k < 33; ++k) {
        std::complex<double> sum;
        for (std::size_t n = 0; n < 64; ++n) {
            const double turn = -2 * 3.14159265358979 * static_cast<double>(k * n) / 64;
            sum += static_cast<double>(wave[n]) * std::complex<double>(std::cos(turn), std::sin(turn));
        }
        CHECK(std::abs(sum - std::complex<double>(spectrum[k])) < 1e-3);
    }
    fft.back(spectrum, back);
    for (std::size_t n = 0; n < 64; ++n)
        CHECK(back[n] == Approx(wave[n]).margin(1e-5));
}

TEST_CASE("two cameras that hear the same are tied to within a frame and within the bound") {
    int pairs = 0, close = 0;
    for (const double ratio : {10.0, 0.0}) {
        for (const bench::Sounds sounds : bench::kAllSounds) {
            const bench::Pair pair = bench::common_pair(sounds, ratio, 300'001);
            const auto outcome = tied(pair);
            INFO(pair.kind << " at " << ratio << " dB: " << outcome.sentence);
            ++pairs;
            if (!outcome.tie) continue;
            CAPTURE(ms(outcome.tie->later()), pair.arrival * 1e3);
            // One that is claimed is right.
            CHECK(bench::within_a_frame(pair, *outcome.tie));
            CHECK(bench::bound_holds(pair, *outcome.tie));
            CHECK(outcome.tie->sharpness > 6);
            CHECK(outcome.tie->stretches >= 3);
            close += 1;
        }
    }
    CHECK(close >= pairs - 1);
}

TEST_CASE("coded as AAC the tie is the same to a millisecond") {
    const bench::Pair pair = bench::common_pair(bench::Sounds::mixed, 10, 300'002);
    const auto wave = tied(pair), aac = tied(pair, bench::Coded::aac);
    REQUIRE(wave.tie);
    REQUIRE(aac.tie);
    CHECK(std::abs(ms(aac.tie->later()) - ms(wave.tie->later())) < 1);
}

TEST_CASE("the other way round the tie has the other sign") {
    bench::Pair pair = bench::common_pair(bench::Sounds::mixed, 10, 300'003);
    const auto there = tied(pair);
    std::swap(pair.first, pair.second);
    std::swap(pair.first_rate, pair.second_rate);
    const auto back = tied(pair);
    REQUIRE(there.tie);
    REQUIRE(back.tie);
    CHECK(std::abs(ms(there.tie->later()) + ms(back.tie->later())) < 0.1);
    CHECK(there.tie->first_at == back.tie->second_at);
}

TEST_CASE("clips with nothing in common are not tied and the reason is said") {
    for (std::uint64_t which = 0; which < 2 * bench::kForeignKinds; ++which) {
        const bench::Pair pair = bench::foreign_pair(which);
        const auto outcome = tied(pair);
        INFO(pair.kind);
        CHECK_FALSE(outcome.tie);
        CHECK(outcome.sentence.english().find("so sound ties nothing") != std::string::npos);
    }
}

TEST_CASE("what has a beat fits at several places") {
    const bench::Pair pair = bench::foreign_pair(3);
    REQUIRE(pair.kind == "the same music over and over");
    CHECK(tied(pair).why == NoSoundTie::several_places_fit);
}

TEST_CASE("a clip without sound and a silent and a short one tie nothing and say so") {
    const TemporaryFolder folder;
    const auto mute = made_clip("tie-mute.mp4", "-f lavfi -i testsrc2=s=96x64:r=25:d=3 -c:v libx264");
    const bench::Pair pair = bench::common_pair(bench::Sounds::claps, 20, 300'004);
    const auto heard = folder / "heard.wav", silent = folder / "silent.wav", brief = folder / "brief.wav";
    bench::write_wave(heard, pair.first, pair.first_rate);
    bench::write_wave(silent, std::vector<float>(480'000, 0.0F), 48'000);
    bench::write_wave(brief, std::vector<float>(pair.first.begin(), pair.first.begin() + 40'000), 48'000);
    const auto outcome = [&](const std::filesystem::path& other) {
        SoundTieOptions options;
        options.second_name = "camera B";
        const auto made = tie_by_sound(heard, other, options);
        REQUIRE(made.ok());
        CHECK_FALSE(made->tie);
        return *made;
    };
    CHECK(outcome(mute).sentence == "camera B has no sound, so sound ties nothing.");
    CHECK(outcome(silent).sentence == "camera B is silent, so sound ties nothing.");
    CHECK(outcome(brief).why == NoSoundTie::too_short);
    const auto gone = tie_by_sound(heard, folder / "none.wav");
    REQUIRE_FALSE(gone.ok());
    CHECK(gone.error().category == base::Category::not_found);
}

TEST_CASE("a tie that is stopped ends as cancelled and progress never falls") {
    const TemporaryFolder folder;
    const bench::Pair pair = bench::common_pair(bench::Sounds::claps, 20, 300'005);
    bench::write_wave(folder / "a.wav", pair.first, pair.first_rate);
    bench::write_wave(folder / "b.wav", pair.second, pair.second_rate);
    SoundTieOptions options;
    double last = 0;
    options.progress = [&](double share) {
        CHECK(share >= last);
        CHECK(share <= 1);
        last = share;
    };
    REQUIRE(tie_by_sound(folder / "a.wav", folder / "b.wav", options).ok());
    CHECK(last > 0.9);
    std::stop_source stop;
    options.stop = stop.get_token();
    options.progress = [&](double share) {
        if (share > 0.12) stop.request_stop();
    };
    const auto outcome = tie_by_sound(folder / "a.wav", folder / "b.wav", options);
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().category == base::Category::cancelled);
}
