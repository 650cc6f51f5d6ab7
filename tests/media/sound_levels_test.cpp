// The loudness summary against plain counting over all samples.
#include "media/sound_levels.h"

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <iostream>
#include <thread>
#include <tuple>
#include <vector>

#include "media/reference.h"
#include "media/sound_reference.h"
#include "media/sound_scan.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

SoundBlock block_at(base::Time t, int rate, int channels, std::int64_t frames, float (*wave)(std::int64_t)) {
    SoundBlock block;
    block.time = t;
    block.rate = rate;
    block.channels = channels;
    for (std::int64_t i = 0; i < frames; ++i)
        for (int c = 0; c < channels; ++c)
            block.samples.push_back(c == channels - 1 ? wave(i) : 0.0F);
    return block;
}

SoundScanState wait_for(const SoundScan& scan) {
    for (int i = 0; i < 2000; ++i) {
        const auto state = scan.poll();
        if (state.phase != SoundScanState::Phase::reading) return state;
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return scan.poll();
}

}  // namespace

TEST_CASE("at every zoom a column's peak is the largest sample in its time") {
    const auto clip =
        made_clip("sound-levels.mov",
                  "-f lavfi -i testsrc2=s=96x64:r=25:d=3 -f lavfi -i "
                  "anoisesrc=d=3:c=pink:r=48000:seed=7:a=0.5 -ac 2 -c:v libx264 -preset ultrafast "
                  "-c:a pcm_s16le ");
    const auto blocks = all_blocks(clip);
    SoundLevels levels(at_ms(0), at_ms(3000));
    for (const SoundBlock& block : blocks)
        levels.add(block);
    for (const auto& [from, to, count] :
         {std::tuple{0, 3000, 7}, {0, 3000, 100}, {0, 3000, 1500}, {1000, 1040, 40}, {2990, 3000, 3}}) {
        const auto columns = levels.columns(at_ms(from), at_ms(to), count);
        REQUIRE(columns.size() == static_cast<std::size_t>(count));
        const double wide = static_cast<double>(to - from) * kMs / count;
        for (int n = 0; n < count; ++n) {
            // A column covers at least its own time, and at most its bucket more on either side.
            const auto left = static_cast<std::int64_t>(from * kMs + n * wide);
            const auto right = static_cast<std::int64_t>(from * kMs + (n + 1) * wide);
            const auto slack = static_cast<std::int64_t>(std::max(1.0 * kMs, wide));
            const SoundColumn& column = columns[static_cast<std::size_t>(n)];
            CAPTURE(from, to, count, n);
            REQUIRE(column.heard);
            REQUIRE(column.peak >= loudest(blocks, {left}, {right}) - 1e-4F);
            REQUIRE(column.peak <= loudest(blocks, {left - slack}, {right + slack}) + 1e-4F);
            REQUIRE(column.rms <= column.peak + 1e-4F);
            REQUIRE(column.rms > 0);
        }
    }
    // ffmpeg's own measure of the same sound: astats, 'RMS level dB' is printed with 6 decimals.
    double squares = 0;
    std::int64_t count = 0;
    for (const SoundBlock& block : blocks) {
        for (const float s : block.samples) {
            squares += static_cast<double>(s) * s;
            ++count;
        }
    }
    const std::string text =
        output_of("ffmpeg -nostdin -i " + quoted(clip) + " -af astats -vn -f null - 2>&1");
    const auto place = text.rfind("RMS level dB: ");
    REQUIRE(place != std::string::npos);
    const double said = std::stod(text.substr(place + 14));
    CHECK(std::abs(10 * std::log10(squares / static_cast<double>(count)) - said) < 0.01);
    CHECK(decibels(1) == 0);
    CHECK(std::abs(decibels(0.5F) + 6.0206F) < 1e-3F);
}

TEST_CASE("the loudness of a known wave is the one that its formula gives") {
    SoundLevels levels(at_ms(0), at_ms(1000));
    // A square wave has its amplitude as root mean square; in one of two channels, a root of two less.
    levels.add(
        block_at(at_ms(0), 48000, 1, 24000, [](std::int64_t i) { return i % 48 < 24 ? 0.25F : -0.25F; }));
    levels.add(block_at(at_ms(500), 48000, 2, 24000, [](std::int64_t) { return 0.5F; }));
    for (const auto& column : levels.columns(at_ms(0), at_ms(500), 50)) {
        CHECK(std::abs(column.peak - 0.25F) < 1e-4F);
        CHECK(std::abs(column.rms - 0.25F) < 1e-4F);
    }
    for (const auto& column : levels.columns(at_ms(500), at_ms(1000), 50)) {
        CHECK(std::abs(column.peak - 0.5F) < 1e-4F);
        CHECK(std::abs(column.rms - 0.5F / std::sqrt(2.0F)) < 1e-4F);
    }
}

TEST_CASE("one click stays one click when zoomed in, and does not drown when zoomed out") {
    SoundLevels levels(at_ms(-500), at_ms(599'500));
    const auto quiet = [](std::int64_t) { return 0.001F; };
    for (std::int64_t s = 0; s < 600; ++s)
        levels.add(block_at(at_ms(s * 1000 - 500), 48000, 1, 48000, quiet));
    levels.add(block_at(at_ms(300'000), 48000, 1, 20, [](std::int64_t) { return 0.8F; }));
    const auto all = levels.columns(at_ms(-500), at_ms(599'500), 1200);
    const auto shown =
        std::count_if(all.begin(), all.end(), [](const SoundColumn& c) { return c.peak > 0.7F; });
    CHECK(shown >= 1);
    CHECK(shown <= 2);  // two where it lies at the edge of a column
    const auto near = levels.columns(at_ms(299'990), at_ms(300'010), 1000);  // 20 ms over the whole width
    const auto high =
        std::count_if(near.begin(), near.end(), [](const SoundColumn& c) { return c.peak > 0.7F; });
    CHECK(high == 50);  // the one millisecond that it lies in
    CHECK(near[520].peak > 0.7F);
    CHECK(near[480].peak < 0.01F);
}

TEST_CASE("where the file has no sound a column says so, and silence is sound") {
    SoundLevels levels(at_ms(0), at_ms(1000));
    levels.add(block_at(at_ms(200), 8000, 1, 800, [](std::int64_t) { return 0.0F; }));
    levels.add(block_at(at_ms(-300), 8000, 1, 800, [](std::int64_t) { return 0.5F; }));    // before the clip
    levels.add(block_at(at_ms(5000), 8000, 1, 80000, [](std::int64_t) { return 0.5F; }));  // behind it
    const auto columns = levels.columns(at_ms(0), at_ms(1000), 1000);
    for (int n = 0; n < 1000; ++n) {
        const SoundColumn& column = columns[static_cast<std::size_t>(n)];
        CAPTURE(n);
        CHECK(column.heard == (n >= 200 && n < 300));
        CHECK(column.peak == 0);
    }
    // Outside the clip there is nothing either.
    CHECK_FALSE(levels.columns(at_ms(-100), at_ms(0), 1).front().heard);
    CHECK_FALSE(levels.columns(at_ms(1000), at_ms(2000), 1).front().heard);
}

TEST_CASE("the range of a drawing reaches from the noise of the clip to its loudest peak") {
    SoundLevels levels(at_ms(0), at_ms(10'000));
    levels.add(block_at(at_ms(0), 48000, 1, 480'000, [](std::int64_t) { return 0.01F; }));  // -40 dB
    levels.add(block_at(at_ms(5000), 48000, 1, 4800, [](std::int64_t) { return 0.5F; }));   // -6 dB
    const SoundRange range = levels.range();
    CHECK(std::abs(range.loudest + 6.02F) < 0.1F);
    CHECK(std::abs(range.quietest + 43) < 1.1F);
    CHECK(loudness_share(0.5F, range) > 0.99F);
    CHECK(loudness_share(0.01F, range) < 0.15F);
    CHECK(loudness_share(0, range) == 0);
    // Steady noise keeps at least 24 dB, so that it is no wall of full height and no empty row.
    SoundLevels steady(at_ms(0), at_ms(1000));
    steady.add(block_at(at_ms(0), 48000, 1, 48000, [](std::int64_t) { return 0.1F; }));
    CHECK(std::abs(steady.range().loudest - steady.range().quietest - 24) < 0.01F);
}

TEST_CASE("the summary of a day takes no more room than that of an hour") {
    const SoundLevels day(at_ms(0), at_ms(86'400'000)), hour(at_ms(0), at_ms(3'600'000));
    CHECK(hour.bucket() == base::Duration{kMs});
    CHECK(day.bytes() <= std::size_t{24} << 20);
    CHECK(hour.bytes() <= std::size_t{24} << 20);
    SoundLevels longest(base::Time{-300'000'000'000'000'000}, base::Time{300'000'000'000'000'000});
    CHECK(longest.bytes() <= std::size_t{24} << 20);
}

TEST_CASE("a scan in the background shows the sample clip's start beep, and wakes its owner") {
    const auto clip = plumbmark::test::source_folder() / "sample_clips" / "run-1-a.mp4";
    std::atomic<int> woken{0};
    const SoundScan scan(clip, at_ms(0), at_ms(14'233), [&woken] { ++woken; });
    const auto state = wait_for(scan);
    REQUIRE(state.phase == SoundScanState::Phase::done);
    CHECK(state.progress == 1);
    CHECK(woken >= 1);
    // The truth's start beep is heard at 1146.5 ms of the run, which is 746.5 ms of this clip, for 0.4 s.
    const auto columns = scan.columns(at_ms(0), at_ms(2000), 200);
    const auto mean = [&](int from, int to) {
        float sum = 0;
        for (int n = from; n < to; ++n)
            sum += loudness_share(columns[static_cast<std::size_t>(n)].rms, state.range);
        return sum / static_cast<float>(to - from);
    };
    CHECK(mean(76, 113) > mean(20, 74) + 0.4F);
    CHECK(mean(76, 113) > mean(120, 160) + 0.4F);
}

TEST_CASE("a scan that is stopped or fails says so and keeps what it read") {
    const auto folder = plumbmark::test::source_folder() / "sample_clips";
    {
        SoundScan scan(folder / "run-1-a.mp4", at_ms(0), at_ms(14'233));
        scan.stop();
        const auto phase = wait_for(scan).phase;
        const bool ended = phase == SoundScanState::Phase::stopped || phase == SoundScanState::Phase::done;
        CHECK(ended);
    }
    const SoundScan none(folder / "truth.json", at_ms(0), at_ms(1000));
    const auto state = wait_for(none);
    CHECK(state.phase == SoundScanState::Phase::failed);
    REQUIRE(state.error);
    CHECK(state.error->where == "truth.json");
    CHECK_FALSE(state.until);
}

TEST_CASE("measured, not judged: reading a sample clip's loudness, and drawing from it", "[.][measure]") {
    const auto clip = plumbmark::test::source_folder() / "sample_clips" / "run-1-a.mp4";
    const auto began = std::chrono::steady_clock::now();
    const SoundScan scan(clip, at_ms(0), at_ms(14'233));
    wait_for(scan);
    const auto read = std::chrono::steady_clock::now();
    std::size_t seen = 0;
    for (int i = 0; i < 1000; ++i)
        seen += scan.columns(at_ms(i), at_ms(14'233 - i), 1400).size();
    const auto drawn = std::chrono::steady_clock::now();
    using Ms = std::chrono::duration<double, std::milli>;
    std::cout << "14.2 s of AAC mono read in " << Ms(read - began).count() << " ms; 1400 columns in "
              << Ms(drawn - read).count() / 1000 << " ms\n";
    CHECK(seen == 1'400'000);
}
