// Any order of requests, stops and budgets gives the pictures of a plain linear reading.
#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <random>
#include <thread>

#include "media/frame_reader.h"
#include "media/frame_service.h"
#include "media/picture_store.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
namespace fs = std::filesystem;

namespace {

constexpr std::size_t kOnePicture = 160 * 120 * 3 / 2;

struct Walked {
    const char* name;
    const char* how;
};

// B-pyramids, open groups, two temporal kinds of HEVC's non-reference pictures, MPEG's B pictures, a
// container whose time search lands anywhere.
const std::vector<Walked>& walked_clips() {
    static const std::vector<Walked> clips = {
        {"walk-pyramid.mp4", "-c:v libx264 -preset medium -bf 3 -g 40 "},
        {"walk-open.mkv",
         "-c:v libx264 -preset veryfast -bf 3 -g 25 -x264-params open-gop=1:b-pyramid=normal "},
        {"walk-hevc.mp4",
         "-c:v libx265 -preset ultrafast -bf 4 -x265-params "
         "log-level=none:keyint=30:open-gop=1:b-adapt=0:bframes=4:b-pyramid=1 "},
        {"walk-layers.mp4",
         "-c:v libx265 -preset ultrafast -x265-params "
         "log-level=none:keyint=30:bframes=3:b-pyramid=1:temporal-layers=1 "},
        {"walk-mpeg2.ts", "-c:v mpeg2video -q:v 3 -bf 2 -g 15 "},
        {"walk-mpeg4.mp4", "-c:v mpeg4 -q:v 3 -bf 2 -g 20 "},
    };
    return clips;
}

fs::path clip_of(const Walked& clip) {
    return made_clip(clip.name, std::string("-f lavfi -i testsrc2=s=160x120:r=25:d=4 ") + clip.how);
}

std::shared_ptr<const FrameTable> table_of(const fs::path& clip) {
    auto table = scan_clip(clip);
    REQUIRE(table.ok());
    return std::make_shared<const FrameTable>(std::move(*table));
}

FrameReader reader_on(const fs::path& clip, const std::shared_ptr<const FrameTable>& table,
                      ReaderOptions options) {
    auto reader = FrameReader::open(clip, table, std::move(options));
    REQUIRE(reader.ok());
    return std::move(*reader);
}

}  // namespace

TEST_CASE("a random walk of reads, fills and stops gives the pictures of a linear reading") {
    for (const Walked& walked : walked_clips()) {
        const fs::path clip = clip_of(walked);
        const auto sums = framemd5(clip);
        const auto table = table_of(clip);
        REQUIRE(table->size() == static_cast<std::int64_t>(sums.size()));
        for (const std::size_t pictures : {1U, 12U, 500U}) {
            INFO(walked.name << ", room for " << pictures);
            FrameReader reader = reader_on(clip, table, {.cache_bytes = pictures * 2 * kOnePicture});
            std::int64_t wrong = 0, told = 0;
            reader.set_witness([&](std::int64_t n, const std::shared_ptr<const Picture>& picture) {
                ++told;
                wrong += md5_hex(*picture) != sums[static_cast<std::size_t>(n)] ? 1 : 0;
            });
            std::mt19937 random(static_cast<unsigned>(20'260 + pictures));
            const auto any = [&](std::int64_t most) {
                return static_cast<std::int64_t>(random() % static_cast<unsigned>(most));
            };
            for (int step = 0; step < 60; ++step) {
                const std::int64_t n = any(table->size());
                std::stop_source stop;
                const bool stopped = any(6) == 0;
                if (stopped) stop.request_stop();
                reader.set_stop(stop.get_token());
                if (any(4) == 0) {
                    CHECK(reader.fill(n, std::min(n + any(20), table->size() - 1)) == !stopped);
                    continue;
                }
                const bool kept = reader.cached(n) != nullptr;
                const auto read = any(2) == 0 ? reader.read(n) : reader.read_alone(n);
                REQUIRE(read.ok() == (kept || !stopped));
                if (read) CHECK(md5_hex(**read) == sums[static_cast<std::size_t>(n)]);
            }
            CHECK(wrong == 0);
            CHECK(told > 60);
        }
    }
}

TEST_CASE("pictures that nothing is made from are not decoded on the way to one frame") {
    for (const Walked& walked : walked_clips()) {
        INFO(walked.name);
        const fs::path clip = clip_of(walked);
        const auto sums = framemd5(clip);
        const auto table = table_of(clip);
        // The last frame of a group, so that the whole group lies before it.
        std::int64_t n = 60;
        while (n + 1 < table->size() && table->group_start(n + 1) == table->group_start(n))
            ++n;
        FrameReader alone = reader_on(clip, table, {.cache_bytes = 1});
        const auto picture = alone.read_alone(n);
        REQUIRE(picture.ok());
        CHECK(md5_hex(**picture) == sums[static_cast<std::size_t>(n)]);
        FrameReader whole = reader_on(clip, table, {.cache_bytes = 1});
        REQUIRE(whole.read(n).ok());
        CHECK(whole.counters().skipped == 0);
        CHECK(alone.counters().skipped >= 4);
        CHECK(alone.counters().frames_decoded <= whole.counters().frames_decoded - 4);
        // What was passed over is not forgotten: each frame before it is still reached exactly.
        for (std::int64_t back = n - 1; back >= n - 8; --back) {
            const auto earlier = alone.read_alone(back);
            REQUIRE(earlier.ok());
            CHECK(md5_hex(**earlier) == sums[static_cast<std::size_t>(back)]);
        }
    }
}

TEST_CASE("services that share one small store, asked from several threads, show only right pictures") {
    constexpr int kThreads = 3, kRequests = 120;
    auto store = std::make_shared<PictureStore>(60 * kOnePicture);
    struct Clip {
        std::vector<std::string> sums;
        std::unique_ptr<FrameService> service;
    };
    std::vector<Clip> clips;
    for (int i = 0; i < 3; ++i) {
        const fs::path file = clip_of(walked_clips()[static_cast<std::size_t>(i)]);
        ServiceOptions options;
        options.reader.store = store;
        clips.push_back({framemd5(file), std::make_unique<FrameService>(file, nullptr, options)});
        clips.back().service->request(0);
    }
    std::atomic<int> wrong = 0, looked = 0;
    const auto look = [&](const Clip& clip, const std::shared_ptr<const Picture>& picture, std::int64_t n) {
        if (!picture || n < 0) return;
        ++looked;
        wrong += md5_hex(*picture) != clip.sums[static_cast<std::size_t>(n)] ? 1 : 0;
    };
    const auto walk = [&](unsigned seed) {
        std::mt19937 random(seed);
        std::int64_t n = 50;
        for (int i = 0; i < kRequests; ++i) {
            Clip& clip = clips[random() % clips.size()];
            const auto size = static_cast<std::int64_t>(clip.sums.size());
            // Steps one way and the other, and a jump now and then.
            n = random() % 10 == 0 ? static_cast<std::int64_t>(random() % static_cast<unsigned>(size))
                                   : n + (random() % 3 == 0 ? 1 : -1);
            n = std::clamp<std::int64_t>(n, 0, size - 1);
            clip.service->request(n);
            if (random() % 4 == 0) std::this_thread::sleep_for(std::chrono::milliseconds(random() % 8));
            const ServiceState state = clip.service->poll();
            look(clip, state.picture, state.picture_frame);
            look(clip, clip.service->kept(n), n);
        }
    };
    {
        std::vector<std::jthread> threads;
        for (int i = 0; i < kThreads; ++i)
            threads.emplace_back(walk, static_cast<unsigned>(7 + i));
    }
    for (Clip& clip : clips) {
        const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (!clip.service->poll().settled() && std::chrono::steady_clock::now() < end)
            std::this_thread::sleep_for(std::chrono::milliseconds(2));
        const ServiceState state = clip.service->poll();
        REQUIRE(state.settled());
        CHECK_FALSE(state.error);
        CHECK(state.picture_frame == state.requested);
        look(clip, state.picture, state.picture_frame);
    }
    CHECK(wrong == 0);
    CHECK(looked > kRequests);
    // At most one picture a clip stays beyond the budget, at its hand.
    CHECK(store->kept_bytes() <= store->budget() + clips.size() * 4 * kOnePicture);
}
