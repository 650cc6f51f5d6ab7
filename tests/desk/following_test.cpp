// What the desk draws and points at when the camera was held by hand: the clip is rendered with a known
// motion.
#include <catch2/catch.hpp>
#include <chrono>
#include <thread>

#include "bench_follow/shaken_clip.h"
#include "desk/internal/following_desk.h"
#include "desk/test_meet.h"

using namespace plumbmark;
using desk::Placement;

namespace {

constexpr int kStill = 5;
const std::vector<desk::Point> kDeck{{200, 200}, {300, 210}, {290, 280}, {205, 270}};

/// A meet on the shaken clip, with the quay deck drawn on frame kStill.
std::unique_ptr<review::Session> drawn_meet(const test::TemporaryFolder& folder,
                                            const std::filesystem::path& clip) {
    auto made = review::Session::create(folder / "shaken.meet", {"Pier Nine Youth Open", "", ""});
    REQUIRE(made);
    std::unique_ptr<review::Session> session = std::move(*made);
    REQUIRE(session->add_run("run 3"));
    REQUIRE(session->add_book("trial.course", test::course_text()));
    REQUIRE(session->add_clip(clip, "camera A"));
    REQUIRE(session->settle());
    session->go_to_frame(kStill);
    REQUIRE(session->settle());
    REQUIRE(session->put_drawing(meet::DrawingKind::surface, "quay_deck", kDeck, {}));
    return session;
}

/// As the window does, until 'done'.
bool go_on(review::Session& session, desk::FollowingDesk& following, const std::function<bool()>& done) {
    // Long enough for a busy machine and a sanitizer: the following rests while others work.
    for (int i = 0; i < 36000; ++i) {
        session.poll();
        following.update(session);
        if (done()) return true;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return false;
}

void go_to(review::Session& session, desk::FollowingDesk& following, std::int64_t frame) {
    session.go_to_frame(frame);
    REQUIRE(go_on(session, following, [&] {
        return session.picture().exact && session.picture().frame == frame && following.settled(session);
    }));
}

const meet::Drawing& only_drawing(const review::Session& session) {
    REQUIRE(session.state().drawings().size() == 1);
    return session.state().drawings().begin()->second;
}

}  // namespace

TEST_CASE("a new drawing belongs to the frame on the screen and is drawn where the scene is on others") {
    const test::TemporaryFolder folder;
    const auto clip = shaken_clip::make(folder.path());
    if (!clip) return;
    const auto session = drawn_meet(folder, *clip);
    const meet::Drawing drawing = only_drawing(*session);
    REQUIRE(drawing.still);
    CHECK(drawing.still->number == kStill);
    desk::FollowingDesk following(nullptr);
    CHECK(following.placed(*session, drawing).placement == Placement::as_drawn);

    go_to(*session, following, 85);
    const desk::PlacedDrawing placed = following.placed(*session, drawing);
    REQUIRE(placed.placement == Placement::follows);
    CHECK(placed.moved);
    const follow::Mapping truth = shaken_clip::truth(kStill, 85);
    for (std::size_t i = 0; i < kDeck.size(); ++i) {
        CHECK(placed.points[i][0] == Approx((*truth(kDeck[i]))[0]).margin(1.5));
        CHECK(placed.points[i][1] == Approx((*truth(kDeck[i]))[1]).margin(1.5));
    }
    CHECK(following.words(*session).find("drawing follows, ±") == 0);

    go_to(*session, following, 44);  // the lens is covered
    CHECK(following.placed(*session, drawing).placement == Placement::lost);
    CHECK(following.placed(*session, drawing).points == kDeck);
    CHECK(following.words(*session) == "drawing does not fit here");
    REQUIRE(go_on(*session, following, [&] {
        return following.lost(session->clip()) == std::vector<review::LostStretch>{{40, 47}};
    }));

    following.toggle(session->clip());
    CHECK(following.placed(*session, drawing).placement == Placement::as_drawn);
    CHECK(following.words(*session) == "drawing is not followed");
    CHECK(following.lost(session->clip()).empty());
    following.toggle(session->clip());
    CHECK(following.placed(*session, drawing).placement == Placement::lost);
}

TEST_CASE("a drawing is taken over to another clip of the same camera and refused where it does not fit") {
    const test::TemporaryFolder folder;
    const auto clip = shaken_clip::make(folder.path());
    if (!clip) return;
    const auto session = drawn_meet(folder, *clip);
    const meet::ClipId from = session->clip();
    REQUIRE(shaken_clip::make(folder.path(), "second.mp4", 24));
    REQUIRE(session->add_run("run 4"));
    REQUIRE(session->add_clip(folder / "second.mp4", "camera A"));
    REQUIRE(session->settle());
    REQUIRE(session->clip() != from);
    desk::FollowingDesk following(nullptr);
    const auto copied_at = [&](std::int64_t frame) {
        go_to(*session, following, frame);
        following.copy(*session, from);
        std::optional<base::Result<review::CopiedDrawings>> copied;
        REQUIRE(go_on(*session, following, [&] { return (copied = following.take_copied()).has_value(); }));
        return std::move(*copied);
    };
    const auto refused = copied_at(44);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().category == base::Category::unsupported);
    CHECK(refused.error().sentence.english().find("draw them here") != std::string::npos);

    const auto copied = copied_at(80);
    REQUIRE(copied);
    CHECK(copied->copied == 1);
    CHECK(copied->left_out == 0);
    REQUIRE(session->apply(copied->change));
    const auto& drawings = session->state().drawings();
    REQUIRE(drawings.size() == 2);
    const meet::Drawing& copy = drawings.rbegin()->second;
    CHECK(copy.clip == session->clip());
    CHECK(copy.key == "quay_deck");
    REQUIRE(copy.still);
    CHECK(copy.still->number == 80);
    const follow::Mapping truth = shaken_clip::truth(kStill, 80);
    CHECK(copy.points[2][0] == Approx((*truth(kDeck[2]))[0]).margin(1.5));
    CHECK(copy.points[2][1] == Approx((*truth(kDeck[2]))[1]).margin(1.5));
    REQUIRE(session->undo());
    CHECK(session->state().drawings().size() == 1);
}
