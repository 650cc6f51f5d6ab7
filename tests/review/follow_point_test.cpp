// Points are followed through a clip that is rendered with a known motion of the camera.
#include "review/follow_point.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "bench_follow/shaken_clip.h"
#include "review/measured_moment.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::shaken_clip;
using plumbmark::test::TemporaryFolder;

namespace {

class Footage {
  public:
    Footage() : clip(make(folder_.path())) {
        if (clip) table = std::make_shared<const media::FrameTable>(media::scan_clip(*clip).value());
    }
    [[nodiscard]] review::PointToFollow asked(std::int64_t frame, follow::Point at, std::int64_t first,
                                              std::int64_t last) const {
        return {*clip, table, {{1}, {frame, (*table)[frame].pts}, at, {}}, first, last};
    }

  private:
    TemporaryFolder folder_;

  public:
    std::optional<std::filesystem::path> clip;
    std::shared_ptr<const media::FrameTable> table;
};

meet::Mark bracketed(std::int64_t early, std::int64_t late) {
    meet::Mark mark;
    mark.sightings = {{{1}, meet::FrameRef{early, 0}, meet::FrameRef{late, 0}}};
    return mark;
}

}  // namespace

TEST_CASE("a point is followed to the frames around and lies where the scene went") {
    const Footage footage;
    if (!footage.clip) return;
    int found = 0, within = 0;
    for (const follow::Point at : {follow::Point{300, 210}, follow::Point{480, 270}, follow::Point{610, 330},
                                   follow::Point{700, 150}, follow::Point{240, 400}}) {
        const auto followed = review::follow_point(footage.asked(60, at, 57, 63));
        INFO((followed ? "" : followed.error().text()));
        REQUIRE(followed);
        CHECK(followed->points.size() + followed->lost.size() == 6);
        for (const meet::Pointed& point : followed->points) {
            const int frame = static_cast<int>(point.frame.number);
            CHECK(point.clip == meet::ClipId{1});
            CHECK(point.frame.pts == (*footage.table)[frame].pts);
            REQUIRE(point.followed);
            CHECK(point.followed->from == 60);
            CHECK(point.followed->standard <= review::kFollowedBadly);
            const auto expected = truth(60, frame)(at);
            REQUIRE(expected);
            const double off = std::hypot(point.at[0] - (*expected)[0], point.at[1] - (*expected)[1]);
            CAPTURE(frame, at[0], at[1], off, point.followed->standard);
            CHECK(off < 1.5);
            ++found;
            within += off < 2.448 * point.followed->standard ? 1 : 0;
        }
    }
    // Most places of the hall have something on them; where they do not, that is said.
    CHECK(found >= 20);
    CHECK(within >= 0.9 * found);
}

TEST_CASE("a point that is covered is lost there and the words say where and why") {
    const Footage footage;
    if (!footage.clip) return;
    const auto followed = review::follow_point(footage.asked(38, {610, 330}, 36, 42));
    REQUIRE(followed);
    for (const meet::Pointed& point : followed->points)
        CHECK(point.frame.number < 40);
    REQUIRE(followed->lost.size() >= 3);
    CHECK(followed->lost.back() == std::pair(std::int64_t{42}, follow::PointLoss::lost_before));
    const std::string words = review::followed_words(*followed).english();
    CAPTURE(words);
    CHECK(words.find("Lost at f 40: ") != std::string::npos);
    CHECK(words.rfind("Followed to f 36, f 37, f 39.", 0) == 0);

    std::stop_source stop;
    stop.request_stop();
    const auto stopped = review::follow_point(footage.asked(60, {480, 270}, 57, 63), stop.get_token());
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().category == base::Category::cancelled);
    auto gone = footage.asked(60, {480, 270}, 57, 63);
    gone.clip = "no-such-clip.mp4";
    CHECK_FALSE(review::follow_point(gone));
}

TEST_CASE("what cannot be followed at all is said with what to do") {
    review::PointFollowed nothing;
    CHECK(review::followed_words(nothing).english() == "There is no other frame to follow it to.");
    nothing.lost = {{4, follow::PointLoss::no_detail}, {5, follow::PointLoss::lost_before}};
    CHECK(review::followed_words(nothing).english() ==
          "It could not be followed: nothing there stands out enough to tell where it went. Point at it on "
          "each frame.");
}

TEST_CASE("the frames around a narrow bracket are looked into and around the point where it is wide") {
    const auto range = [](const meet::Mark& mark, std::int64_t frame, std::int64_t frames) {
        return review::frames_to_follow(mark, {{1}, {frame, 0}, {}, {}}, frames);
    };
    using Range = std::pair<std::int64_t, std::int64_t>;
    CHECK(range(bracketed(374, 375), 374, 1000) == Range{373, 376});
    CHECK(range(bracketed(374, 375), 376, 1000) == Range{373, 376});
    // Two frames further on the bracket is not what is looked at.
    CHECK(range(bracketed(374, 375), 380, 1000) == Range{378, 382});
    CHECK(range(bracketed(370, 390), 374, 1000) == Range{372, 376});
    CHECK(range(bracketed(0, 1), 0, 2) == Range{0, 1});
    CHECK(range(meet::Mark{}, 5, 6) == Range{3, 5});
}

TEST_CASE("points that were followed rest on the one that was pointed at") {
    meet::Mark mark = bracketed(10, 11);
    const meet::Pointed start{{1}, {10, 100}, {5, 6}, {}}, by_hand{{1}, {12, 120}, {7, 8}, {}};
    mark.pointed = {start, by_hand};
    mark.measured = meet::MeasuredMoment{{1}, {10, 100}, {1}, {2}};
    const auto followed_to = [](std::int64_t frame, double x) {
        return meet::Pointed{{1}, {frame, 10 * frame}, {x, 6}, meet::FollowedFrom{10, 0.2}};
    };
    const auto after = [](const meet::Change& change) {
        return std::get<meet::Mark>(*change.edits.front().after);
    };
    const meet::Mark followed =
        after(review::with_followed(mark, {1}, start.frame, {followed_to(11, 5.5), followed_to(12, 9)}));
    CHECK(followed.pointed == std::vector{start, by_hand, followed_to(11, 5.5)});
    CHECK_FALSE(followed.measured);
    // Followed again, the ones of before go.
    const meet::Mark again =
        after(review::with_followed(followed, {1}, start.frame, {followed_to(9, 4), followed_to(11, 5.6)}));
    CHECK(again.pointed == std::vector{start, by_hand, followed_to(9, 4), followed_to(11, 5.6)});
    // The start taken away or moved takes them with it; one of them taken away goes alone.
    CHECK(after(review::with_pointed(again, {1}, start.frame, std::nullopt)).pointed == std::vector{by_hand});
    CHECK(after(review::with_pointed(again, {1}, start.frame, std::array{1.0, 2.0})).pointed.size() == 2);
    CHECK(after(review::with_pointed(again, {1}, {11, 110}, std::nullopt)).pointed.size() == 3);
    // Measured as places are those alone that somebody pointed at.
    CHECK(review::pointed_of(again) == std::vector{start, by_hand});
}
