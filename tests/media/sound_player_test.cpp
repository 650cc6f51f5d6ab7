// Sound beside the picture, with a twin of the machine's sound system that a test pulls by hand.
#include "media/sound_player.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <mutex>
#include <thread>
#include <vector>

#include "media/internal/sound_follower.h"
#include "media/reference.h"
#include "media/sound_reference.h"

using namespace plumbmark;
using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

/// What the twin and the test share; outlives both.
struct Line {
    std::mutex mutex;
    SoundDevice::Fill fill;  // guarded by mutex; empty while stopped
    int rate = 48000;
    std::atomic<bool> there{true};
    std::atomic<int> looked{0}, started{0}, stopped{0};
    std::atomic<std::int64_t> clock{5'000'000'000'000};
};

class Twin final : public SoundDevice {
  public:
    explicit Twin(std::shared_ptr<Line> line) : line_(std::move(line)) {}
    std::optional<int> find() override {
        ++line_->looked;
        return line_->there ? std::optional(line_->rate) : std::nullopt;
    }
    bool start(Fill fill) override {
        const std::lock_guard lock(line_->mutex);
        line_->fill = std::move(fill);
        ++line_->started;
        return true;
    }
    void stop() override {
        const std::lock_guard lock(line_->mutex);
        if (line_->fill) ++line_->stopped;
        line_->fill = nullptr;
    }

  private:
    std::shared_ptr<Line> line_;
};

/// A player on a twin, with a clock that only the test moves.
class Bench {
  public:
    explicit Bench(int rate = 48000) {
        line->rate = rate;
        player.emplace(std::make_unique<Twin>(line), [kept = line] { return kept->clock.load(); });
    }
    static bool soon(const std::function<bool()>& so) {
        for (int i = 0; i < 1000 && !so(); ++i)
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        return so();
    }
    bool running() {
        const std::lock_guard lock(line->mutex);
        return static_cast<bool>(line->fill);
    }
    /// Lets the picture play in 40 ms frames from a clip time on, and gathers what the device is given: 10 ms
    /// a pull, heard 'ahead' after it is pulled.
    std::vector<float> play(const std::filesystem::path& clip, std::int64_t from_ms, std::int64_t ms,
                            std::int64_t ahead_ms = 0) {
        std::vector<float> heard;
        const int frames = line->rate / 100;
        for (std::int64_t t = 0; t < ms; t += 10) {
            if (t % 40 == 0) player->follow(clip, at_ms(from_ms + t), at_ms(from_ms + t + 40));
            if (t == 0) REQUIRE(soon([this] { return running(); }));
            const std::size_t before = heard.size();
            heard.resize(before + static_cast<std::size_t>(2 * frames));
            {
                const std::lock_guard lock(line->mutex);
                line->fill(heard.data() + before, frames, {ahead_ms * kMs});
            }
            line->clock += 10 * kMs;
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        return heard;
    }
    std::shared_ptr<Line> line = std::make_shared<Line>();
    std::optional<SoundPlayer> player;
};

/// Left and right of a clip at its own rate, from a time on.
std::vector<float> stereo_from(const std::filesystem::path& clip, std::int64_t ms, std::size_t frames) {
    std::vector<float> out;
    for (const SoundBlock& block : all_blocks(clip)) {
        for (std::int64_t i = 0; i < block.frames() && out.size() < 2 * frames; ++i) {
            if (block.time_of(i) < base::Time{ms * kMs - 10'000}) continue;
            const float* at = block.samples.data() + i * block.channels;
            out.push_back(at[0]);
            out.push_back(at[block.channels > 1 ? 1 : 0]);
        }
    }
    return out;
}

float farthest(const std::vector<float>& a, const std::vector<float>& b, std::size_t from) {
    float apart = 0;
    for (std::size_t i = from; i < std::min(a.size(), b.size()); ++i)
        apart = std::max(apart, std::abs(a[i] - b[i]));
    return apart;
}

std::filesystem::path noise_clip(const std::string& name, const std::string& arguments) {
    return made_clip("played-" + name,
                     "-f lavfi -i testsrc2=s=96x64:r=25:d=5 -f lavfi -i "
                     "anoisesrc=d=5:c=pink:r=48000:seed=3:a=0.5 -c:v libx264 -preset ultrafast " +
                         arguments);
}

constexpr std::size_t kFadedIn = 2 * 250;  // 5 ms and a little of 48 kHz stereo

}  // namespace

TEST_CASE("what is played is the clip's own sound at the picture's time, sample by sample") {
    const auto clip = noise_clip("plain.mov", "-ac 2 -c:a pcm_s16le ");
    Bench bench;
    const auto heard = bench.play(clip, 1000, 1500);
    const auto truth = stereo_from(clip, 1000, heard.size() / 2);
    REQUIRE(truth.size() == heard.size());
    CHECK(std::abs(heard.front()) < std::abs(truth.front()) / 100);  // it fades in
    CHECK(farthest(heard, truth, kFadedIn) == 0);
    const auto counters = bench.player->counters();
    CHECK(counters.jumps == 1);
    CHECK(counters.missing == 0);
    CHECK(counters.played == static_cast<std::int64_t>(heard.size() / 2));
}

TEST_CASE("sound that is heard later than it is handed out is handed out earlier") {
    const auto clip = noise_clip("plain.mov", "-ac 2 -c:a pcm_s16le ");
    Bench bench;
    const auto heard = bench.play(clip, 1000, 300, 80);
    CHECK(farthest(heard, stereo_from(clip, 1080, heard.size() / 2), kFadedIn) == 0);
}

TEST_CASE("a click is heard at its picture also through another rate") {
    const auto clip = made_clip("played-click.mp4",
                                "-f lavfi -i testsrc2=s=96x64:r=25:d=3 -f lavfi -i "
                                "\"aevalsrc='0.9*gte(t,1)*lt(t,1.001)*sin(2*PI*4000*(t-1))':s=44100:d=3\" "
                                "-c:v libx264 -preset ultrafast -c:a aac -b:a 256k ");
    for (const int rate : {48000, 44100, 96000, 16000}) {
        Bench bench(rate);
        const auto heard = bench.play(clip, 600, 800);
        float most = 0;
        for (const float s : heard)
            most = std::max(most, std::abs(s));
        REQUIRE(most > 0.3F);
        const auto loud =
            std::find_if(heard.begin(), heard.end(), [&](float s) { return std::abs(s) >= most * 0.5F; });
        const double ms = 600 + static_cast<double>((loud - heard.begin()) / 2) * 1000.0 / rate;
        CAPTURE(rate, most);
        CHECK(std::abs(ms - 1000) < 0.5);
    }
}

TEST_CASE("sound of one channel comes out of both sides, that of six is mixed") {
    const auto mono = noise_clip("mono.mov", "-ac 1 -c:a pcm_s16le ");
    Bench bench;
    const auto heard = bench.play(mono, 500, 200);
    CHECK(farthest(heard, stereo_from(mono, 500, heard.size() / 2), kFadedIn) == 0);
    const auto six = noise_clip("six.mov", "-ac 6 -c:a pcm_s16le ");
    Bench other;
    const auto mixed = other.play(six, 500, 200);
    CHECK(*std::max_element(mixed.begin(), mixed.end()) > 0.01F);
}

TEST_CASE("after a jump of the picture the sound goes on at the new place") {
    const auto clip = noise_clip("plain.mov", "-ac 2 -c:a pcm_s16le ");
    Bench bench;
    (void)bench.play(clip, 200, 200);
    (void)bench.play(clip, 3500, 200);  // the worker needs a moment to get there: silence until then
    const auto heard = bench.play(clip, 3700, 200);
    CHECK(farthest(heard, stereo_from(clip, 3700, heard.size() / 2), 0) == 0);
    CHECK(bench.player->counters().jumps == 2);
}

TEST_CASE("when the picture stops coming the sound falls silent, and goes on with it") {
    const auto clip = noise_clip("plain.mov", "-ac 2 -c:a pcm_s16le ");
    Bench bench;
    bench.player->follow(clip, at_ms(500), at_ms(540));
    REQUIRE(Bench::soon([&] { return bench.running(); }));
    std::vector<float> pair(2 * 480);
    double last_ms = 0;
    for (std::int64_t t = 0; t < 600; t += 10) {
        const std::lock_guard lock(bench.line->mutex);
        bench.line->fill(pair.data(), 480, {0});
        bench.line->clock += 10 * kMs;
        if (std::any_of(pair.begin(), pair.end(), [](float s) { return s != 0; }))
            last_ms = static_cast<double>(t) + 10;
    }
    CHECK(last_ms >= 280);  // 40 ms of picture and a quarter of a second
    CHECK(last_ms <= 310);
}

TEST_CASE("muted or paused, the device is let go; without a device nothing happens at all") {
    const auto clip = noise_clip("plain.mov", "-ac 2 -c:a pcm_s16le ");
    Bench bench;
    (void)bench.play(clip, 200, 100);
    bench.player->mute(true);
    CHECK(Bench::soon([&] { return !bench.running(); }));
    bench.player->follow(clip, at_ms(400), at_ms(440));
    bench.player->mute(false);
    CHECK(Bench::soon([&] { return bench.running(); }));
    bench.player->pause();
    CHECK(Bench::soon([&] { return !bench.running(); }));
    CHECK(bench.line->started == 2);
    CHECK(bench.line->stopped == 2);

    Bench silent;
    silent.line->there = false;
    silent.player->follow(clip, at_ms(200), at_ms(240));
    CHECK(Bench::soon([&] { return silent.line->looked == 1; }));
    silent.player->follow(clip, at_ms(240), at_ms(280));
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    CHECK(silent.line->looked == 1);  // not again with every picture
    CHECK_FALSE(silent.running());
    silent.line->there = true;  // plugged in meanwhile: found when playing begins again
    silent.player->pause();
    silent.player->follow(clip, at_ms(280), at_ms(320));
    CHECK(Bench::soon([&] { return silent.running(); }));
}

TEST_CASE("a clip whose sound cannot be read plays in silence") {
    const auto clip = made_clip("played-none.mp4", "-f lavfi -i testsrc2=s=96x64:r=25:d=1 -c:v libx264 ");
    Bench bench;
    const auto heard = bench.play(clip, 0, 200);
    CHECK(std::all_of(heard.begin(), heard.end(), [](float s) { return s == 0; }));
}

TEST_CASE("a picture that runs fast or slow by a little takes the sound along without a jump") {
    // The follower alone: the window holds a ramp, so that each sample tells its place.
    for (const double speed : {1.003, 0.997}) {
        SoundWindow window(48000 * 8);
        window.restart(0);
        for (std::int64_t i = 0; i < 48000 * 8 - 1; ++i)
            window.append(static_cast<float>(i), static_cast<float>(i));
        SoundFollower follower;
        follower.begin(&window, 48000);
        SoundAim aim;
        aim.on = true;
        aim.until_ns = INT64_MAX;
        std::vector<float> pairs(2 * 480);
        double farthest_ms = 0;
        for (std::int64_t t = 0; t < 6'000; t += 10) {
            const double picture_ms = 500 + static_cast<double>(t) * speed;
            aim.offset_ns = static_cast<std::int64_t>(picture_ms * 1e6) - t * kMs;
            follower.fill(pairs.data(), 480, t * kMs, aim);
            if (t > 0) farthest_ms = std::max(farthest_ms, std::abs(pairs[0] / 48.0 - picture_ms));
            if (t == 0) continue;
            const double step = (pairs[2 * 479] - pairs[0]) / 479.0;
            REQUIRE(step > 0.9945);
            REQUIRE(step < 1.0055);
        }
        CAPTURE(speed);
        CHECK(follower.jumps == 1);
        CHECK(farthest_ms < 6);
        CHECK(follower.missing == 0);
    }
}

TEST_CASE("a picture that falls behind by more than 40 ms makes the sound fade, jump and agree again") {
    SoundWindow window(48000 * 4);
    window.restart(0);
    for (std::int64_t i = 0; i < 48000 * 4 - 1; ++i)
        window.append(0.5F, 0.5F);
    SoundFollower follower;
    follower.begin(&window, 48000);
    SoundAim aim;
    aim.on = true;
    aim.until_ns = INT64_MAX;
    std::vector<float> all, pairs(2 * 480);
    for (std::int64_t t = 0; t < 400; t += 10) {
        aim.offset_ns = (t < 200 ? 1000 : 900) * kMs;
        follower.fill(pairs.data(), 480, t * kMs, aim);
        all.insert(all.end(), pairs.begin(), pairs.end());
    }
    CHECK(follower.jumps == 2);
    float steepest = 0;
    for (std::size_t i = 2; i < all.size(); i += 2)
        steepest = std::max(steepest, std::abs(all[i] - all[i - 2]));
    CHECK(steepest < 0.01F);  // no step that would be heard as a crack
}

TEST_CASE("looking for the machine's sound device writes nothing, whether there is one or not") {
    const auto file = scratch() / "sound-device-words.txt";
    const int to = open(file.c_str(), O_CREAT | O_TRUNC | O_WRONLY, 0600);
    REQUIRE(to >= 0);
    std::fflush(stdout);
    std::fflush(stderr);
    const int out = dup(1), err = dup(2);
    dup2(to, 1);
    dup2(to, 2);
    {
        const auto device = system_sound_device();
        for (int i = 0; i < 2; ++i) {
            const auto rate = device->find();
            // Where there is one it is not made to sound: silence is handed out.
            if (rate && device->start([](float* pairs, int frames, base::Duration) {
                    std::fill(pairs, pairs + 2 * frames, 0.0F);
                }))
                device->stop();
            if (!rate) (void)device->start([](float*, int, base::Duration) {});
            device->stop();
        }
    }
    std::fflush(stdout);
    std::fflush(stderr);
    dup2(out, 1);
    dup2(err, 2);
    for (const int one : {to, out, err})
        close(one);
    CHECK(read_file(file).empty());
}
