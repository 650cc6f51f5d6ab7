// Lenses, stands of cameras and what marks had measured: what a change may and may not say of them.
#include <catch2/catch.hpp>
#include <limits>

#include "meet/changes.h"

namespace plumbmark {
namespace {

using meet::Change;
using meet::Entity;
using meet::State;

Change adding(const Entity& thing) {
    return {"add", {{std::nullopt, thing}}, 0};
}

std::string reason(const Entity& thing) {
    const base::Result<void> outcome = meet::check_values(thing);
    return outcome ? std::string() : outcome.error().sentence.english();
}

std::string refusal(State state, const Change& change) {
    const State before = state;
    const base::Result<void> outcome = state.apply(change);
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().category == base::Category::bad_input);
    CHECK(state == before);
    return outcome.error().text();
}

meet::CameraLens phone() {
    meet::CameraLens lens;
    lens.id = {1};
    lens.camera = "phone at the pier end";
    lens.width = 1920;
    lens.height = 1080;
    lens.fx = 1500.25;
    lens.fy = 1501.5;
    lens.cx = 961.5;
    lens.cy = 538.25;
    lens.k1 = -0.125;
    lens.focal_standard = 0.002;
    lens.source = "chessboard, 13 pictures, 0.39 px";
    return lens;
}

meet::CameraStand at_frame(std::int64_t id, std::int64_t frame) {
    const meet::PlanPlace first{meet::DrawingKind::surface, "coil_deck", 0};
    const meet::PlanPlace second{meet::DrawingKind::surface, "coil_deck", 1};
    const meet::PlanPlace end{meet::DrawingKind::plane, "line", 1};
    meet::CameraStand stand;
    stand.id = {id};
    stand.clip = {1};
    stand.still = {frame, frame * 1001};
    stand.points = {{first, {100.5, 200.25}, 1.5}, {end, {700, 400}, 2}};
    stand.edges = {{first, second, {{120, 210}, {140, 220}}, 0.75}};
    return stand;
}

meet::Mark over_the_line() {
    meet::Mark mark;
    mark.id = {1};
    mark.run = {1};
    meet::Event cross;
    cross.kind = meet::EventKind::cross;
    cross.plane = "line";
    mark.alternatives = {cross};
    mark.sightings = {{meet::ClipId{1}, meet::FrameRef{41, 4100}, meet::FrameRef{42, 4200}}};
    mark.pointed = {{{1}, {41, 4100}, {596.5, 633.25}}, {{1}, {42, 4200}, {611.75, 640}}};
    mark.measured = meet::MeasuredMoment{{1}, {41, 4100}, {9'500'000}, {13'250'000}};
    return mark;
}

State with_run() {
    State state;
    for (const std::int64_t id : {1, 2}) {
        meet::Clip clip;
        clip.id = {id};
        REQUIRE(state.apply(adding(clip)).ok());
    }
    meet::Run run;
    run.id = {1};
    run.clips = {meet::ClipId{1}};
    REQUIRE(state.apply(adding(run)).ok());
    return state;
}

template <class Spoil>
std::string of_lens(const Spoil& spoil) {
    meet::CameraLens lens = phone();
    spoil(lens);
    return reason(lens);
}

template <class Spoil>
std::string of_stand(const Spoil& spoil) {
    meet::CameraStand stand = at_frame(1, 9);
    spoil(stand);
    return reason(stand);
}

template <class Spoil>
std::string of_mark(const Spoil& spoil) {
    meet::Mark mark = over_the_line();
    spoil(mark);
    return reason(mark);
}

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kEndless = std::numeric_limits<double>::infinity();

TEST_CASE("a lens that makes no sense is refused with a reason") {
    using Lens = meet::CameraLens;
    CHECK(reason(phone()).empty());
    CHECK(of_lens([](Lens& lens) { lens.source.clear(); }).empty());
    CHECK(of_lens([](Lens& lens) { lens.camera.clear(); }) == "it names no camera");
    CHECK(of_lens([](Lens& lens) { lens.source = "caf\xE9"; }) == "its source is not UTF-8 text");
    for (int Lens::*side : {&Lens::width, &Lens::height}) {
        for (const int pixels : {0, -1, 1'000'001})
            CHECK(of_lens([&](Lens& lens) { lens.*side = pixels; }) ==
                  "its picture is not 1 to 1,000,000 pixels wide and high");
        for (const int pixels : {1, 1'000'000})
            CHECK(of_lens([&](Lens& lens) { lens.*side = pixels; }).empty());
    }
    for (double Lens::*focal : {&Lens::fx, &Lens::fy}) {
        for (const double pixels : {0.0, -1500.0})
            CHECK(of_lens([&](Lens& lens) { lens.*focal = pixels; }) == "its focal length is not positive");
        for (const double pixels : {kNone, kEndless})
            CHECK(of_lens([&](Lens& lens) { lens.*focal = pixels; }) ==
                  "its focal length is not a finite number");
    }
    for (double Lens::*middle : {&Lens::cx, &Lens::cy})
        CHECK(of_lens([&](Lens& lens) { lens.*middle = kNone; }) ==
              "its principal point is not a finite point");
    for (double Lens::*term : {&Lens::skew, &Lens::k1, &Lens::k2, &Lens::p1, &Lens::p2, &Lens::k3})
        CHECK(of_lens([&](Lens& lens) { lens.*term = -kEndless; }) ==
              "its distortion is not a finite number");
    for (double Lens::*standard : {&Lens::focal_standard, &Lens::principal_standard, &Lens::k1_standard}) {
        CHECK(of_lens([&](Lens& lens) { lens.*standard = -0.001; }) ==
              "a standard deviation of it is negative");
        CHECK(of_lens([&](Lens& lens) { lens.*standard = kNone; }) ==
              "its standard deviation is not a finite number");
        CHECK(of_lens([&](Lens& lens) { lens.*standard = 0; }).empty());
    }
}

TEST_CASE("a stand that makes no sense is refused with a reason") {
    using Stand = meet::CameraStand;
    CHECK(reason(at_frame(1, 9)).empty());
    CHECK(of_stand([](Stand& stand) { stand.points.clear(), stand.edges.clear(); }).empty());
    CHECK(of_stand([](Stand& stand) { stand.still.number = -1; }) ==
          "its frame -1 is not between 0 and 9007199254740991");
    CHECK(of_stand([](Stand& stand) { stand.knowledge = meet::LensKnown::measured; }) ==
          "its lens is said to be measured, and none is named");
    CHECK(of_stand([](Stand& stand) { stand.lens = {1}; }) == "it names a lens, which is yet to be found");
    CHECK(of_stand([](Stand& stand) {
              stand.knowledge = meet::LensKnown::measured;
              stand.lens = {1};
          }).empty());
    CHECK(of_stand([](Stand& stand) { stand.points[0].place.key.clear(); }) == "it names no surface");
    CHECK(of_stand([](Stand& stand) { stand.points[1].place.key.clear(); }) == "it names no plane");
    for (const int corner : {-1, 10'000})
        CHECK(of_stand([&](Stand& stand) { stand.edges[0].to.corner = corner; }) ==
              "a corner is negative or too large");
    CHECK(of_stand([](Stand& stand) { stand.edges[0].to.corner = 9'999; }).empty());
    for (const int corner : {-1, 2})
        CHECK(of_stand([&](Stand& stand) { stand.points[1].place.corner = corner; }) ==
              "an end of a plane's line is neither 0 nor 1");
    CHECK(of_stand([](Stand& stand) { stand.points[0].at[1] = kEndless; }) ==
          "its spot is not a finite point");
    CHECK(of_stand([](Stand& stand) { stand.edges[0].at[1][0] = kNone; }) ==
          "its edge is not a finite point");
    for (const double standard : {0.0, -1.0}) {
        CHECK(of_stand([&](Stand& stand) { stand.points[0].standard = standard; }) ==
              "a standard deviation of pointing is not positive");
        CHECK(of_stand([&](Stand& stand) { stand.edges[0].standard = standard; }) ==
              "a standard deviation of pointing is not positive");
    }
    CHECK(of_stand([](Stand& stand) { stand.edges[0].standard = kNone; }) ==
          "its standard deviation is not a finite number");
    CHECK(of_stand([](Stand& stand) { stand.edges[0].at.clear(); }) == "an edge has no point");
    CHECK(of_stand([](Stand& stand) { stand.edges[0].to = stand.edges[0].from; }) ==
          "an edge ends at the place that it begins at");
}

TEST_CASE("what a mark points at and had measured is refused with a reason where it makes no sense") {
    using meet::Mark;
    CHECK(reason(over_the_line()).empty());
    CHECK(of_mark([](Mark& mark) { mark.pointed[0].at[0] = kNone; }) == "its spot is not a finite point");
    CHECK(of_mark([](Mark& mark) { mark.pointed[0].frame.number = -5; }) ==
          "its frame -5 is not between 0 and 9007199254740991");
    CHECK(of_mark([](Mark& mark) { mark.pointed[0].frame.number = 42; }) ==
          "it points at two places on one frame");
    CHECK(of_mark([](Mark& mark) { mark.pointed[0] = {{2}, {42, 4200}, {}}; }).empty());
    CHECK(of_mark([](Mark& mark) { mark.pointed[0].followed = {42, 0.2}; }).empty());
    CHECK(of_mark([](Mark& mark) {
              mark.pointed[0].followed = {41, 0.2};
          }) == "a point is followed to the frame on which it was pointed at");
    for (const double standard : {-0.1, 1'001.0, kNone})
        CHECK(of_mark([&](Mark& mark) {
                  mark.pointed[0].followed = {42, standard};
              }) == "how well a point was followed is no length in pixels");
    CHECK(of_mark([](Mark& mark) {
              mark.pointed[0].followed = {-1, 0.2};
          }) == "its frame -1 is not between 0 and 9007199254740991");
    CHECK(of_mark([](Mark& mark) { mark.measured->clip = {2}; }) ==
          "what was measured lies on a clip without a bracket");
    CHECK(of_mark([](Mark& mark) { mark.measured->frame.number = -1; }) ==
          "its frame -1 is not between 0 and 9007199254740991");
    CHECK(of_mark([](Mark& mark) { mark.measured->from = {-1}; }) ==
          "its measured time -1 is not between 0 and 9007199254740991");
    CHECK(of_mark([](Mark& mark) { mark.measured->to = {9'007'199'254'740'992}; }) ==
          "its measured time 9007199254740992 is not between 0 and 9007199254740991");
    CHECK(of_mark([](Mark& mark) { mark.measured->to.ns = mark.measured->from.ns - 1; }) ==
          "its measured time ends before it begins");
    CHECK(of_mark([](Mark& mark) { mark.measured->to = mark.measured->from = {}; }).empty());
}

TEST_CASE("more than 10,000 places pointed at in one thing are refused") {
    const auto places = [](std::size_t count) {
        meet::Mark mark = over_the_line();
        mark.pointed.clear();
        for (std::size_t i = 0; i < count; ++i)
            mark.pointed.push_back({{1}, {static_cast<std::int64_t>(i), 0}, {}});
        return reason(mark);
    };
    CHECK(places(10'000).empty());
    CHECK(places(10'001) == "10001 places are pointed at, and no more than 10000 are kept");
    const auto points = [](std::size_t count) {
        return of_stand([&](meet::CameraStand& stand) { stand.points.resize(count, stand.points[0]); });
    };
    CHECK(points(10'000).empty());
    CHECK(points(10'001) == "10001 places are pointed at, and no more than 10000 are kept");
    const auto on_edges = [](std::size_t more) {
        return of_stand([&](meet::CameraStand& stand) {
            stand.edges.resize(100, stand.edges[0]);
            for (meet::StandEdge& edge : stand.edges)
                edge.at.resize(100);
            stand.edges[0].at.resize(100 + more);
        });
    };
    CHECK(on_edges(0).empty());
    CHECK(on_edges(1) == "10001 places are pointed at, and no more than 10000 are kept");
}

TEST_CASE("what a stand and a mark's places name must exist") {
    State state = with_run();
    meet::CameraStand stand = at_frame(1, 9);
    stand.clip = {7};
    CHECK(refusal(state, adding(stand)) == "camera stand 1: it names clip 7, which does not exist");
    stand = at_frame(1, 9);
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {1};
    CHECK(refusal(state, adding(stand)) == "camera stand 1: it names lens 1, which does not exist");
    REQUIRE(state.apply({"both", {{std::nullopt, stand}, {std::nullopt, phone()}}, 0}).ok());
    CHECK(refusal(state, {"remove", {{phone(), std::nullopt}}, 0}) ==
          "camera stand 1: it names lens 1, which does not exist");
    const Entity run = *state.find({meet::Kind::run, 1});
    const Entity clip = *state.find({meet::Kind::clip, 1});
    CHECK(refusal(state, {"remove", {{run, std::nullopt}, {clip, std::nullopt}}, 0}) ==
          "camera stand 1: it names clip 1, which does not exist");
    meet::Mark mark = over_the_line();
    mark.pointed[1].clip = {7};
    CHECK(refusal(state, adding(mark)) == "mark 1: it names clip 7, which does not exist");
    mark.pointed[1].clip = {2};
    CHECK(refusal(state, adding(mark)) ==
          "mark 1: it lies on clip 2, which is not among the footage of run 1");
    meet::Run both = std::get<meet::Run>(run);
    both.clips.push_back({2});
    REQUIRE(state.apply({"footage", {{run, both}}, 0}).ok());
    REQUIRE(state.apply(adding(mark)).ok());
    CHECK(refusal(state, {"drop clip", {{both, run}}, 0}) ==
          "mark 1: it lies on clip 2, which is not among the footage of run 1");
}

TEST_CASE("a clip has several stands and one for each frame") {
    State state = with_run();
    REQUIRE(state.apply(adding(at_frame(1, 9))).ok());
    REQUIRE(state.apply(adding(at_frame(2, 10))).ok());
    CHECK(refusal(state, adding(at_frame(3, 9))) ==
          "camera stand 3: its frame of the clip is that of camera stand 1");
    CHECK(refusal(state, {"move", {{at_frame(1, 9), at_frame(1, 10)}}, 0}) ==
          "camera stand 1: its frame of the clip is that of camera stand 2");
    meet::CameraStand elsewhere = at_frame(3, 9);
    elsewhere.clip = {2};
    REQUIRE(state.apply(adding(elsewhere)).ok());
    // Changing places in one change leaves each frame with one.
    const Change swap{"swap", {{at_frame(1, 9), at_frame(1, 10)}, {at_frame(2, 10), at_frame(2, 9)}}, 0};
    REQUIRE(state.apply(swap).ok());
    CHECK(state.stands().at({1}).still.number == 10);
    std::vector<Entity> things{state.info(), state.clips().at({1}), at_frame(1, 9), at_frame(2, 9)};
    meet::IdsByKind ids{};
    ids.fill(99);
    const auto restored = State::restored(std::move(things), ids);
    REQUIRE_FALSE(restored.ok());
    CHECK(restored.error().text() == "camera stand 1: its frame of the clip is that of camera stand 2");
}

TEST_CASE("lenses and stands and what was measured are undone and redone") {
    State state = with_run();
    meet::CameraStand stand = at_frame(1, 9);
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {1};
    const Change all{
        "camera", {{std::nullopt, phone()}, {std::nullopt, stand}, {std::nullopt, over_the_line()}}, 0};
    REQUIRE(state.apply(all).ok());
    const State full = state;
    CHECK(state.lenses().at({1}) == phone());
    CHECK(state.stands().at({1}) == stand);
    CHECK(state.find({meet::Kind::stand, 1}) == Entity{stand});
    CHECK(state.next_id(meet::Kind::lens) == 2);
    REQUIRE(state.apply(meet::inverse(all)).ok());
    CHECK(state.lenses().empty());
    CHECK(state.stands().empty());
    CHECK(state.marks().empty());
    CHECK(state.next_id(meet::Kind::stand) == 2);
    REQUIRE(state.apply(all).ok());
    CHECK(state == full);
}

}  // namespace
}  // namespace plumbmark
