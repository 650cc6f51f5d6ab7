// The two ways a station can have been, as the run strip draws them.
#include "desk/strip_worlds.h"

#include <catch2/catch.hpp>

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

constexpr course::Part kFoot = course::Part::left_foot;
const course::SurfaceId kDeck{3}, kFloor{4};

ruling::WorldEvent event(ruling::Happening what, std::int64_t at_ms, bool unseen, std::int64_t clip = 0) {
    return {{}, what, unseen, {at_ms * 1'000'000}, {clip}, "it happens"};
}

ruling::StationRuling not_shown(std::vector<ruling::WorldEvent> clear, std::vector<ruling::WorldEvent> fail) {
    ruling::StationRuling ruling;
    ruling.verdict = ruling::Verdict::not_shown;
    ruling.worlds.resize(2);
    ruling.worlds[0].events = std::move(clear);
    ruling.worlds[1].events = std::move(fail);
    ruling.worlds[1].verdict = ruling::Verdict::fail;
    return ruling;
}

const std::vector<meet::ClipId> kClips{{7}, {8}};

}  // namespace

TEST_CASE("an unseen contact lasts to its release, and what is marked is not drawn again") {
    const auto list =
        world_stretches(not_shown({event(ruling::Touch{course::Part::right_foot, kDeck}, 90, false),
                                   event(ruling::Touch{kFoot, kDeck}, 100, true),
                                   event(ruling::Touch{kFoot, kFloor}, 110, true),
                                   event(ruling::Release{kFoot, kDeck}, 140, false)},
                                  {}),
                        kClips, {7});
    REQUIRE(list.size() == 2);
    CHECK(list[0] == WorldStretch{0, ruling::Verdict::clear, 2, 100'000'000, 140'000'000, false,
                                  "clear if so: it happens; nobody saw it"});
    // Nothing ends the other one.
    CHECK(list[1].from == 110'000'000);
    CHECK(list[1].open);
}

TEST_CASE("the second world has the lower half, other clips have their own, instants their own row") {
    const auto ruling = not_shown(
        {event(ruling::Cross{std::nullopt, {0}}, 50, true), event(ruling::Touch{kFoot, kDeck}, 60, true, 1)},
        {event(ruling::Release{kFoot, kDeck}, 70, true)});
    const auto here = world_stretches(ruling, kClips, {7}), there = world_stretches(ruling, kClips, {8});
    REQUIRE(here.size() == 2);
    CHECK(here[0].row == 5);
    CHECK(here[0].world == 0);
    CHECK(here[1].world == 1);
    CHECK(here[1].row == 2);
    CHECK(here[1].words == "fail if so: it happens; nobody saw it");
    REQUIRE(there.size() == 1);
    CHECK(there[0].from == 60'000'000);
    CHECK(world_stretches(ruling, kClips, {9}).empty());
}
