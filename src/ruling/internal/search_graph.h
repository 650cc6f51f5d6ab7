// How the states of a search hang together: which step leads from which to which, what each step decided, and
// from which of them a world can be brought to its end. Only what lies on such a way has happened in a world.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <set>
#include <span>
#include <unordered_map>
#include <vector>

#include "ruling/internal/prepared.h"
#include "ruling/internal/world_state.h"

namespace plumbmark::ruling {

using StateIndex = std::uint32_t;
using EdgeIndex = std::uint32_t;
inline constexpr StateIndex kNoState = std::numeric_limits<StateIndex>::max();
inline constexpr StateIndex kEndOfWorld = kNoState - 1;
inline constexpr EdgeIndex kNoEdge = std::numeric_limits<EdgeIndex>::max();

/// One step of a world.
struct Step {
    enum class Kind : std::uint8_t { begin, mark, unseen, moment, deadline, end } kind = Kind::begin;
    Deadline deadline = kHold;
    bool unseen_finish = false;
    std::int16_t mark = -1;  ///< for mark
    std::int16_t clip = -1;  ///< for moment
    std::int32_t moment = -1;
    Event event;  ///< what happened, for mark and unseen
};
[[nodiscard]] constexpr bool is_seen(const Step& step) {
    return step.kind == Step::Kind::mark;
}

/// What becomes of one station in the worlds found so far.
struct Met {
    bool cleared = false, failed = false, open = false, not_reached = false;
    std::uint16_t failing_clauses = 0;  ///< bits of Clause
    friend bool operator==(const Met&, const Met&) = default;
};

/// One world, for examples.
struct Ending {
    std::vector<Decision> stations;  ///< by station
    bool started = false;            ///< the start signal was given
    std::vector<EdgeIndex> edges;    ///< from the first state to the end
};

/// One result that the run can have.
struct RunEnd {
    RunResult result;
    std::optional<std::int64_t> split_low;   ///< over all its worlds: done minus start, exclusive
    std::optional<std::int64_t> split_high;  ///< inclusive; none: no limit
};

class SearchGraph {
  public:
    struct Edge {
        StateIndex from = kNoState, to = kNoState;
        EdgeIndex next_in = kNoEdge, next_out = kNoEdge;  ///< of those into 'to', and out of 'from'
        std::uint32_t first_fact = 0, fact_count = 0;
        Step step;
    };

    explicit SearchGraph(std::size_t stations) : met_(stations) {}

    /// States are numbered from 0 in the order in which they are added.
    void add_state() { nodes_.emplace_back(); }
    /// The first edge into a state is the one by which it was come to. 'to' kEndOfWorld: a world ends. True
    /// when something new was met.
    bool add_edge(StateIndex from, StateIndex to, const Step& step, std::span<const Fact> facts);
    [[nodiscard]] const Edge& edge(EdgeIndex e) const { return edges_[e]; }
    [[nodiscard]] std::span<const Edge> edges() const { return edges_; }
    [[nodiscard]] std::size_t state_count() const { return nodes_.size(); }
    [[nodiscard]] std::span<const Fact> facts(const Edge& edge) const {
        return std::span(facts_).subspan(edge.first_fact, edge.fact_count);
    }
    template <class Visit>
    void each_edge_from(StateIndex state, Visit&& visit) const {
        for (EdgeIndex e = nodes_[state].first_out; e != kNoEdge; e = edges_[e].next_out)
            visit(edges_[e]);
    }
    template <class Visit>
    void each_edge_to(StateIndex state, Visit&& visit) const {
        for (EdgeIndex e = nodes_[state].come_by; e != kNoEdge; e = edges_[e].next_in)
            visit(edges_[e]);
    }
    /// Whether a way to the end of a world is known.
    [[nodiscard]] bool is_live(StateIndex state) const {
        return state == kEndOfWorld || nodes_[state].way_out != kNoEdge;
    }
    [[nodiscard]] std::span<const Met> met() const { return met_; }

    /// A set of worlds such that each (station, decision) of any world is in one of them, with each event
    /// that can have made it, in a fixed order.
    [[nodiscard]] std::vector<Ending> endings() const;

  private:
    struct Node {
        EdgeIndex come_by = kNoEdge;  ///< the first edge into it
        EdgeIndex last_in = kNoEdge;
        EdgeIndex first_out = kNoEdge;
        EdgeIndex way_out = kNoEdge;  ///< the next edge of a way to an end; none: no way is known
    };
    /// What is told of a decision by an example of it.
    struct Kind {
        Fact fact;
        Step::Kind by;
        Event event;
        friend auto operator<=>(const Kind&, const Kind&) = default;
    };
    struct Examples {
        std::set<Kind> told;
        std::vector<Ending> endings;
    };
    void bring_to_life(EdgeIndex edge);
    void meet(std::span<const Fact> facts);
    [[nodiscard]] bool is_new(Examples& examples, EdgeIndex edge, const Fact& fact) const;
    void add_told(Examples& examples) const;
    void tell_waiting(Examples& examples, EdgeIndex edge, std::int16_t mark,
                      const std::unordered_map<StateIndex, EdgeIndex>& towards) const;
    [[nodiscard]] bool tells(EdgeIndex edge, std::int16_t mark) const;
    [[nodiscard]] Ending world_through(EdgeIndex edge, const std::vector<EdgeIndex>& then) const;
    [[nodiscard]] std::vector<EdgeIndex> way_to(StateIndex state) const;
    void tell(Ending& ending) const;

    std::vector<Node> nodes_;
    std::vector<Edge> edges_;
    std::vector<Fact> facts_;
    std::vector<Met> met_;
    bool met_new_ = false;
};

}  // namespace plumbmark::ruling
