// The job is held against clips that are rendered with a known motion of the camera.
#include "review/following_job.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <iostream>
#include <thread>

#include "bench_follow/shaken_clip.h"
#include "media/frame_table.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using plumbmark::test::TemporaryFolder;
using namespace plumbmark::shaken_clip;

namespace {

std::shared_ptr<const media::FrameTable> table_of(const std::filesystem::path& clip) {
    return std::make_shared<const media::FrameTable>(media::scan_clip(clip).value());
}

bool wait_for(const std::function<bool()>& done) {
    for (int i = 0; i < 36000 && !done(); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    return done();
}

}  // namespace

TEST_CASE("drawings of two stills are followed through a shaken clip and lost where the lens is covered") {
    const TemporaryFolder folder;
    const auto clip = make(folder.path());
    if (!clip) return;
    const auto table = table_of(*clip);
    REQUIRE(table->size() == kFrames);
    const std::vector<review::FollowedDrawing> drawings{
        {{1}, 3, {{200, 200}, {300, 210}, {290, 280}, {205, 270}}},
        {{2}, 70, {{600, 100}, {610, 420}}},
    };
    std::atomic<int> wakes{0};
    review::FollowingJob job(*clip, table, drawings, 85, nullptr, [&] { ++wakes; });
    REQUIRE(wait_for([&] { return job.at({1}, 85).has_value(); }));
    CHECK(job.progress() < 1);  // the frame that is looked at does not wait for the others
    REQUIRE(wait_for([&] { return job.progress() >= 1; }));
    CHECK(wakes > 1);
    CHECK(job.lost() == std::vector<review::LostStretch>{{40, 47}});
    for (const review::FollowedDrawing& drawing : drawings) {
        CHECK_FALSE(job.trouble(drawing.id));
        CHECK(job.at(drawing.id, drawing.still)->mapping == follow::Mapping{});
        for (int frame = 0; frame < kFrames; ++frame) {
            const auto fit = job.at(drawing.id, frame);
            REQUIRE(fit);
            CAPTURE(frame, drawing.id.value, fit->error);
            CHECK((fit->verdict == follow::Verdict::lost) == covered(frame));
            if (covered(frame)) continue;
            const follow::Mapping expected = truth(static_cast<int>(drawing.still), frame);
            CHECK(shaken::furthest(fit->mapping, expected, drawing.points) < 1.5);
        }
    }
    CHECK_FALSE(job.at({3}, 0));
    CHECK_FALSE(job.at({1}, kFrames));
}

TEST_CASE("a job that rests knows the frame that is looked at and no other") {
    const TemporaryFolder folder;
    const auto clip = make(folder.path());
    if (!clip) return;
    std::atomic<bool> busy{true};
    review::FollowingJob job(
        *clip, table_of(*clip), {{{1}, 0, {{200, 200}, {300, 210}, {290, 280}}}}, 10,
        [&] { return busy.load(); }, nullptr);
    REQUIRE(wait_for([&] { return job.at({1}, 10).has_value(); }));
    job.rest(true);
    busy = false;
    job.look_at(80);
    REQUIRE(wait_for([&] { return job.at({1}, 80).has_value(); }));
    CHECK(job.progress() < 0.5);
    job.rest(false);
    CHECK(wait_for([&] { return job.progress() >= 1; }));
}

TEST_CASE("a fixed camera leaves every drawing exactly where it is") {
    const std::filesystem::path clip = test::source_folder() / "sample_clips" / "run-2-a.mp4";
    const auto table = table_of(clip);
    review::FollowingJob job(clip, table, {{{1}, 20, {{200, 200}, {300, 210}, {290, 280}}}}, 0, nullptr,
                             nullptr);
    REQUIRE(wait_for([&] { return job.progress() >= 1 || job.trouble({1}); }));
    if (job.trouble({1})) return;  // then it is not followed and stays, too
    CHECK(job.lost().empty());
    for (std::int64_t frame = 0; frame < table->size(); ++frame)
        CHECK(job.at({1}, frame)->mapping == follow::Mapping{});
}

TEST_CASE("a clip that cannot be read leaves its drawings where they were drawn and says why") {
    const std::filesystem::path clip = test::source_folder() / "sample_clips" / "run-2-a.mp4";
    const auto table = table_of(clip);
    review::FollowingJob job("no-such-clip.mp4", table, {{{1}, 20, {{200, 200}}}}, 0, nullptr, nullptr);
    REQUIRE(wait_for([&] { return job.trouble({1}).has_value(); }));
    CHECK_FALSE(job.at({1}, 0));
    CHECK(job.lost().empty());
}
