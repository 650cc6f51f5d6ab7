// How the search's states hang together, on graphs drawn by hand: what counts as met, the worlds that are
// given as examples, and what waits for a seen event to tell it.
#include "ruling/internal/search_graph.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "ruling/internal/waiting.h"

using namespace plumbmark;
using namespace plumbmark::ruling;

namespace {

Step seen(std::int16_t mark, EventKind kind = EventKind::touch) {
    Step step;
    step.kind = Step::Kind::mark;
    step.mark = mark;
    step.event.kind = kind;
    return step;
}
Step unseen(EventKind kind = EventKind::touch) {
    Step step;
    step.kind = Step::Kind::unseen;
    step.event.kind = kind;
    return step;
}
Step end_step() {
    Step step;
    step.kind = Step::Kind::end;
    return step;
}
Fact fact(Outcome outcome, std::int16_t mark, std::uint16_t clauses = 0, std::uint16_t station = 0) {
    return {station, {outcome, clauses, mark, 0}};
}

/// A graph to which steps are added; each adds up whether something new was met.
class Drawn {
  public:
    Drawn(std::size_t stations, std::size_t states) : graph_(stations) {
        for (std::size_t i = 0; i < states; ++i)
            graph_.add_state();
    }
    bool step(StateIndex from, StateIndex to, const Step& by, const std::vector<Fact>& facts = {}) {
        return graph_.add_edge(from, to, by, facts);
    }
    bool end(StateIndex from, const std::vector<Fact>& facts = {}) {
        return step(from, kEndOfWorld, end_step(), facts);
    }
    [[nodiscard]] const SearchGraph& graph() const { return graph_; }

    /// Each ending as the marks and letters of its steps: "3 u 4 end".
    [[nodiscard]] std::multiset<std::string> worlds() const {
        std::multiset<std::string> all;
        for (const Ending& ending : graph_.endings()) {
            std::string text;
            for (const EdgeIndex e : ending.edges) {
                const Step& by = graph_.edge(e).step;
                text += is_seen(by)                  ? std::to_string(by.mark) + " "
                        : by.kind == Step::Kind::end ? "end"
                                                     : "u ";
            }
            all.insert(text);
        }
        return all;
    }

  private:
    SearchGraph graph_;
};

using Worlds = std::multiset<std::string>;

}  // namespace

TEST_CASE("what was decided is met once the world can be brought to its end, and is new once", "[parts]") {
    Drawn drawn(2, 4);
    CHECK_FALSE(drawn.step(0, 1, seen(1), {fact(Outcome::failed, 1, 4)}));
    CHECK_FALSE(drawn.step(0, 2, seen(2), {fact(Outcome::cleared, 2)}));
    CHECK_FALSE(drawn.step(1, 3, seen(3)));
    CHECK_FALSE(drawn.step(2, 3, seen(4)));
    CHECK(drawn.graph().met()[0] == Met{});
    CHECK_FALSE(drawn.graph().is_live(0));
    CHECK(drawn.end(3, {fact(Outcome::not_reached, -1, 0, 1)}));
    for (StateIndex state = 0; state < 4; ++state)
        CHECK(drawn.graph().is_live(state));
    CHECK(drawn.graph().met()[0] == Met{true, true, false, false, 4});
    CHECK(drawn.graph().met()[1] == Met{false, false, false, true, 0});
    CHECK_FALSE(drawn.step(0, 1, seen(5), {fact(Outcome::failed, 5, 4)}));
    CHECK(drawn.step(0, 1, seen(5), {fact(Outcome::failed, 5, 8)}));
    CHECK(drawn.graph().met()[0].failing_clauses == 12);
    CHECK(drawn.step(1, 2, seen(6), {fact(Outcome::open, 6, 2)}));
    CHECK(drawn.graph().met()[0] == Met{true, true, true, false, 12});
}

TEST_CASE("a step is live only where a world can end behind it", "[parts]") {
    Drawn drawn(1, 4);
    drawn.step(0, 1, seen(1));
    drawn.step(0, 2, seen(2), {fact(Outcome::cleared, 2)});
    drawn.end(1);
    CHECK(drawn.graph().is_live(0));
    CHECK(drawn.graph().is_live(1));
    CHECK_FALSE(drawn.graph().is_live(2));
    CHECK(drawn.graph().met()[0] == Met{});
    CHECK(drawn.worlds() == Worlds{"1 end"});
}

TEST_CASE("a world is an example of each decision by each event that made it, and none is given twice",
          "[parts]") {
    Drawn drawn(1, 4);
    drawn.step(0, 1, seen(0));
    drawn.step(1, 2, seen(1), {fact(Outcome::cleared, 1)});
    drawn.step(1, 3, seen(1, EventKind::cross), {fact(Outcome::cleared, 1)});
    drawn.step(0, 3, seen(1), {fact(Outcome::cleared, 1)});
    drawn.step(2, 3, seen(0), {fact(Outcome::failed, 0)});
    drawn.end(2);
    drawn.end(3);
    CHECK(drawn.worlds() == Worlds{"0 1 end", "0 1 end", "0 1 0 end"});
    for (const Ending& ending : drawn.graph().endings()) {
        CHECK(ending.stations.size() == 1);
        CHECK_FALSE(ending.started);
        CHECK(ending.stations[0].mark == (ending.edges.size() == 4 ? 0 : 1));
    }
}

TEST_CASE("what an unseen event decides has an example with each seen event that can be the next",
          "[parts]") {
    Drawn drawn(1, 7);
    drawn.step(0, 1, unseen(), {fact(Outcome::failed, -1, 2)});
    drawn.step(1, 2, unseen(EventKind::cross));
    drawn.step(2, 3, seen(4));
    drawn.step(1, 3, seen(0));
    drawn.step(2, 4, seen(6));  // no world ends behind it
    drawn.step(3, 5, seen(7));
    drawn.end(5);
    drawn.end(2);
    CHECK(drawn.worlds() == Worlds{"u u 4 7 end", "u 0 7 end", "u u end"});
    std::set<std::int16_t> told;
    for (const Ending& ending : drawn.graph().endings())
        told.insert(ending.stations[0].mark);
    CHECK(told == std::set<std::int16_t>{-1, 0, 4});
}

TEST_CASE("what is decided as the world ends waits for nothing", "[parts]") {
    Drawn drawn(1, 2);
    drawn.step(0, 1, seen(0));
    drawn.end(1, {fact(Outcome::open, -1)});
    CHECK(drawn.worlds() == Worlds{"0 end"});
    const Waiting waiting(drawn.graph());
    CHECK(waiting.told_as_by(0, 1));
    CHECK(waiting.told_as_by(1, 0));
    Drawn two_ends(1, 3);
    two_ends.step(0, 1, seen(0));
    two_ends.step(0, 2, seen(1));
    two_ends.end(1, {fact(Outcome::open, -1)});
    two_ends.end(2, {fact(Outcome::not_reached, -1)});
    CHECK(two_ends.worlds() == Worlds{"0 end", "1 end"});
}

TEST_CASE("the first mark of a review tells what it decided, and no later one does", "[parts]") {
    Drawn drawn(2, 4);
    drawn.step(0, 1, seen(0), {fact(Outcome::cleared, 0)});
    drawn.step(1, 2, unseen(), {fact(Outcome::failed, -1, 2, 1)});
    drawn.step(2, 3, seen(3));
    drawn.end(3);
    CHECK(drawn.worlds() == Worlds{"0 u 3 end", "0 u 3 end"});
    for (const Ending& ending : drawn.graph().endings()) {
        CHECK(ending.stations[0].mark == 0);
        CHECK(ending.stations[1].mark == 3);
    }
}

TEST_CASE("a world without a decision has its ending, and a graph without a world has none", "[parts]") {
    Drawn drawn(0, 2);
    CHECK(drawn.worlds().empty());
    drawn.step(0, 1, seen(0));
    CHECK(drawn.worlds().empty());
    drawn.end(1);
    CHECK(drawn.worlds() == Worlds{"0 end"});
    CHECK(Drawn(0, 0).worlds().empty());
}

TEST_CASE("a decision that was told stays told by its own event, and the start signal starts the world",
          "[parts]") {
    Drawn drawn(2, 5);
    Step start = seen(0, EventKind::signal);
    drawn.step(0, 1, start);
    drawn.step(1, 2, unseen(), {fact(Outcome::failed, -1, 2)});
    drawn.step(2, 3, seen(5), {fact(Outcome::cleared, 5, 0, 1)});
    Step over = seen(6, EventKind::signal);
    over.event.signal = SignalKind::run_over;
    drawn.step(3, 4, over);
    drawn.end(4);
    const std::vector<Ending> endings = drawn.graph().endings();
    REQUIRE_FALSE(endings.empty());
    for (const Ending& ending : endings) {
        CHECK(ending.started);
        CHECK(ending.stations[0].mark == 5);
        CHECK(ending.stations[1].mark == 5);
    }
    Drawn never(1, 2);
    over.mark = 0;
    never.step(0, 1, over);
    never.end(1);
    CHECK_FALSE(never.graph().endings().at(0).started);
    Drawn touched(1, 2);
    touched.step(0, 1, seen(0));
    touched.end(1);
    CHECK_FALSE(touched.graph().endings().at(0).started);
}

TEST_CASE("a state waits behind an unseen decision until the next seen event", "[parts]") {
    // 0 -u!-> 1 -u-> 2 -4-> 3, 2 -u-> 5 -8-> 3; 0 -0-> 4 -4-> 3; 4 -u-> 3
    Drawn drawn(1, 7);
    drawn.step(0, 1, unseen(), {fact(Outcome::failed, -1)});
    drawn.step(1, 2, unseen());
    drawn.step(2, 3, seen(4));
    drawn.step(2, 5, unseen());
    drawn.step(5, 3, seen(8));
    drawn.step(0, 4, seen(0), {fact(Outcome::cleared, 0)});
    drawn.step(4, 3, seen(4));
    drawn.step(2, 6, seen(9));  // no world ends behind it
    drawn.end(3);
    const Waiting waiting(drawn.graph());
    // Nothing waits in these: whatever can tell the other.
    for (const StateIndex state : {0U, 3U, 4U}) {
        for (StateIndex other = 0; other < 6; ++other)
            CHECK(waiting.told_as_by(state, other));
    }
    // 1 and 2 can be told by 4 and 8, 5 by 8, 4 by 4, 3 by the end, 0 by 0, 4 and 8.
    CHECK(waiting.told_as_by(1, 2));
    CHECK(waiting.told_as_by(2, 1));
    CHECK(waiting.told_as_by(1, 4));
    CHECK(waiting.told_as_by(2, 5));
    CHECK_FALSE(waiting.told_as_by(5, 2));
    CHECK_FALSE(waiting.told_as_by(5, 4));
    CHECK_FALSE(waiting.told_as_by(2, 0));
    CHECK_FALSE(waiting.told_as_by(2, 3));
}

TEST_CASE("what waits up to the end is told there alone", "[parts]") {
    Drawn drawn(1, 4);
    drawn.step(0, 1, unseen(), {fact(Outcome::failed, -1)});
    drawn.step(1, 2, unseen());
    drawn.end(2);
    drawn.step(1, 3, seen(3));
    drawn.end(3);
    drawn.step(2, 1, unseen(EventKind::release));  // and round again
    const Waiting waiting(drawn.graph());
    CHECK(waiting.told_as_by(2, 3));
    CHECK(waiting.told_as_by(1, 3));
    CHECK(waiting.told_as_by(1, 2));
    CHECK(waiting.told_as_by(2, 1));
    Drawn seen_only(1, 4);
    seen_only.step(0, 1, unseen(), {fact(Outcome::failed, -1)});
    seen_only.step(1, 2, seen(3));
    seen_only.step(0, 2, seen(3));
    seen_only.end(2);
    const Waiting before(seen_only.graph());
    CHECK_FALSE(before.told_as_by(1, 2));
}

TEST_CASE("edges come in the order in which they were added, the first being how a state was come to",
          "[parts]") {
    Drawn drawn(1, 3);
    drawn.step(0, 1, seen(5));
    drawn.step(0, 1, seen(4));
    drawn.step(2, 1, seen(3));
    std::vector<std::int16_t> into, out;
    drawn.graph().each_edge_to(1, [&](const SearchGraph::Edge& e) { into.push_back(e.step.mark); });
    drawn.graph().each_edge_from(0, [&](const SearchGraph::Edge& e) { out.push_back(e.step.mark); });
    CHECK(into == std::vector<std::int16_t>{5, 4, 3});
    CHECK(out == std::vector<std::int16_t>{4, 5});
}
