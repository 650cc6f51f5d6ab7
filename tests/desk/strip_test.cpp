// The run strip's values, without a window.
#include <catch2/catch.hpp>

#include "desk/strip_model.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

constexpr std::int64_t kFrame = 10'000'000;  // 100 frames a second: frame n is at n * 10 ms

/// A meet with one run on one clip, 100 frames, to which marks are added by hand.
class Bench {
  public:
    Bench() {
        put(meet::Clip{{1}, "camera A", "", "", "", 100, {1, 100}, {}});
        put(meet::Clip{{2}, "camera B", "", "", "", 100, {1, 100}, {}});
        put(meet::Run{{1}, {}, {}, "run 1", {{1}, {2}}, ""});
    }
    void put(const meet::Entity& entity) {
        const auto applied = state_.apply({"test", {{std::nullopt, entity}}, 0});
        REQUIRE(applied.ok());
    }
    meet::MarkId mark(meet::EventKind kind, const std::string& surface, std::int64_t early, std::int64_t late,
                      course::Part part = course::Part::left_foot, meet::ClipId clip = {1},
                      bool possible = false) {
        meet::Event event;
        event.kind = kind;
        event.part = part;
        event.surface = surface;
        meet::Mark mark;
        mark.id = {state_.next_id(meet::Kind::mark)};
        mark.run = {1};
        mark.alternatives = {event};
        mark.possible = possible;
        mark.sightings = {{clip, meet::FrameRef{early, early}, meet::FrameRef{late, late}}};
        put(mark);
        return mark.id;
    }
    StripModel model() const {
        StripInput input;
        input.state = &state_;
        input.run = {1};
        input.clip = {1};
        input.frames = 100;
        input.frame_time = [](std::int64_t n) { return n * kFrame; };
        input.end_ns = 100 * kFrame;
        input.displayed = displayed;
        input.solid = [this](meet::EntityKey key) { return key.id != hollow; };
        return strip_model(input);
    }
    std::vector<std::array<std::int64_t, 2>> displayed;
    std::int64_t hollow = -1;
    meet::State& state() { return state_; }

  private:
    meet::State state_;
};

}  // namespace

TEST_CASE("a contact is a bar whose ends are as wide as their brackets") {
    Bench bench;
    const auto on = bench.mark(meet::EventKind::touch, "quay_deck", 9, 12);
    const auto off = bench.mark(meet::EventKind::release, "quay_deck", 40, 41);
    const StripModel model = bench.model();
    REQUIRE(model.contacts[2].size() == 1);
    const ContactBar& bar = model.contacts[2][0];
    CHECK(bar.from == Edge{9 * kFrame, 12 * kFrame, false, on});
    CHECK(bar.to == Edge{40 * kFrame, 41 * kFrame, false, off});
    CHECK(bar.words == "quay_deck");
    CHECK(bar.solid);
    CHECK_FALSE(bar.possible);
    for (const int other : {0, 1, 3, 4})
        CHECK(model.contacts[static_cast<std::size_t>(other)].empty());
}

TEST_CASE("a contact that nobody ended stays open to the part's next touch, else to the clip's end") {
    Bench bench;
    bench.mark(meet::EventKind::touch, "quay_deck", 9, 10);
    bench.mark(meet::EventKind::touch, "coil_deck", 29, 30);
    const auto bars = bench.model().contacts[2];
    REQUIRE(bars.size() == 2);
    CHECK(bars[0].to == Edge{29 * kFrame, 29 * kFrame, true, {}});
    CHECK(bars[1].to == Edge{100 * kFrame, 100 * kFrame, true, {}});
}

TEST_CASE("a release without a touch before begins with the clip") {
    Bench bench;
    const auto off = bench.mark(meet::EventKind::release, "quay_deck", 40, 41);
    const auto bars = bench.model().contacts[2];
    REQUIRE(bars.size() == 1);
    CHECK(bars[0].from == Edge{0, 0, true, {}});
    CHECK(bars[0].to.mark == off);
}

TEST_CASE("contacts that overlap in time share their row") {
    Bench bench;
    bench.mark(meet::EventKind::touch, "quay_deck", 9, 10);
    bench.mark(meet::EventKind::touch, "coil_deck", 29, 30);
    bench.mark(meet::EventKind::release, "quay_deck", 49, 50);
    bench.mark(meet::EventKind::release, "coil_deck", 69, 70);
    const auto bars = bench.model().contacts[2];
    REQUIRE(bars.size() == 2);
    CHECK(bars[0].lanes == 2);
    CHECK(bars[1].lanes == 2);
    CHECK(bars[0].lane != bars[1].lane);
}

TEST_CASE("marks of another clip are left out, possible ones are told apart, unwritten ones are hollow") {
    Bench bench;
    bench.mark(meet::EventKind::touch, "quay_deck", 9, 10, course::Part::left_hand, {2});
    const auto maybe =
        bench.mark(meet::EventKind::touch, "quay_deck", 9, 10, course::Part::right_hand, {1}, true);
    bench.hollow = maybe.value;
    const StripModel model = bench.model();
    CHECK(model.contacts[0].empty());
    REQUIRE(model.contacts[1].size() == 1);
    CHECK(model.contacts[1][0].possible);
    CHECK_FALSE(model.contacts[1][0].solid);
}

TEST_CASE("the watched row tells frames that were shown from frames that are vouched for") {
    Bench bench;
    bench.displayed = {{0, 9}, {90, 99}};
    meet::WatchedSpan span{{7}, {1}, {1}, {2, 2}, {8, 8}, {}};
    bench.put(span);
    const auto row = bench.model().watched;
    REQUIRE(row.size() == 3);
    CHECK_FALSE(row[0].vouched);
    CHECK(row[0].from == 0);
    CHECK(row[0].to == 10 * kFrame);   // until frame 10 comes
    CHECK(row[1].to == 100 * kFrame);  // until the clip ends
    CHECK(row[2].vouched);
    // A span from frame 2 to 8 covers what happened after frame 2, up to frame 8.
    CHECK(row[2].from == 2 * kFrame);
    CHECK(row[2].to == 8 * kFrame);
    CHECK(row[2].mark == span.id);
}
