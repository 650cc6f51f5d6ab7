// Every world of a review, by a search over zones (docs/rulings.md, section 5): a state is what
// has been done, what the automaton has come to, and bounds on the differences of the few times that still
// matter. Worlds that come to one state in different ways go on as one; how each came there is kept in the
// edges that lead to it (search_graph.h).
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "base/result.h"
#include "ruling/internal/bits.h"
#include "ruling/internal/calls.h"
#include "ruling/internal/judge.h"
#include "ruling/internal/prepared.h"
#include "ruling/internal/search_graph.h"
#include "ruling/internal/waiting.h"
#include "ruling/internal/world_state.h"
#include "ruling/internal/zone.h"

namespace plumbmark::ruling {

inline constexpr std::size_t kMostClips = 32;
/// By clip: how many of its moments lie behind.
using Passed = std::array<std::uint16_t, kMostClips>;

/// Whether what was found so far already answers what was asked. Told of all stations.
using Enough = std::function<bool(std::span<const Met>)>;

class Search {
  public:
    /// All must outlive it.
    Search(const Roles& roles, const Prepared& prepared, const Settings& settings, const AsCalled& called);

    /// Errors: too_tangled when the budget of states is used up; cancelled when settings.stopped says so.
    /// 'enough' is asked whenever something new was found whether to stop there; empty: goes on to the end.
    [[nodiscard]] base::Result<void> run(const Enough& enough = {});
    [[nodiscard]] std::int64_t states() const { return static_cast<std::int64_t>(states_.size()); }
    [[nodiscard]] WorkDone work() const { return {states(), zones_, steps_}; }
    /// What became of each station in the worlds found.
    [[nodiscard]] std::span<const Met> met() const { return graph_.met(); }
    /// The results of the worlds found, each once, with the bounds of their splits.
    [[nodiscard]] const std::vector<RunEnd>& run_ends() const { return run_ends_; }
    /// Worlds such that each way in which a station was decided is in one of them.
    [[nodiscard]] std::vector<Ending> endings() const { return graph_.endings(); }
    /// The steps of a world, in order, with what it had come to after each.
    struct Passage {
        const Step* step = nullptr;
        const WorldState* after = nullptr;
        std::span<const Fact> facts;
        const MarkBits* done = nullptr;  ///< before the step
        const Passed* passed = nullptr;  ///< before the step
    };
    [[nodiscard]] std::vector<Passage> path(const Ending& ending) const;
    /// Where two or more brackets overlap most, for the sentence of a refusal: indices of marks.
    [[nodiscard]] std::vector<int> tangle() const;

  private:
    struct State {
        explicit State(Zone of) : zone(std::move(of)) {}
        WorldState world;
        MarkBits done;
        Passed passed{};
        bool next_strictly = true;  ///< the next event is later than 'last', not at the same instant
        bool awaits_call =
            false;  ///< the last called station was cleared; the next seen event must be the one
        bool expanded = false;
        bool thorough = false;        ///< what follows it is kept, also where a wider state takes it in
        bool needed = false;          ///< not to be left out for a wider one
        StateIndex wider = kNoState;  ///< the state that took its place before it was expanded
        Zone zone;
        std::size_t hash = 0;
        StateIndex next_same_hash = kNoState;
    };
    /// A step from one state that was left out: another state has all that it leads to, and more, in it.
    struct LeftOut {
        StateIndex from, wider;
        bool seen;  ///< the step was a seen event
    };
    /// The earliest late ends of the marks that remain, by clock: none of them may lie behind.
    struct Limit {
        std::int64_t first, second;  ///< the earliest, and the earliest of another mark
        int of = -1;                 ///< the mark of the first
    };

    [[nodiscard]] State root() const;
    [[nodiscard]] bool tie_clocks(Zone& zone) const;
    void expand(StateIndex index);
    void find_limits(const State& from);
    [[nodiscard]] bool can_be_next(const State& from, std::size_t mark) const;
    void step_mark(const State& from, std::size_t mark);
    void step_moment(const State& from, std::size_t clip);
    void step_deadline(const State& from, Deadline deadline);
    void step_unseen(const State& from);
    void record_end(const State& from);

    [[nodiscard]] std::optional<Zone> zone_for_event(const State& from, std::size_t mark);
    [[nodiscard]] bool before_others(Zone& zone, const State& from, std::size_t except) const;
    [[nodiscard]] bool before_deadlines(Zone& zone, const State& from) const;
    [[nodiscard]] bool remaining_after(Zone& zone, Zone::Node node, std::int64_t time, bool strictly) const;
    [[nodiscard]] bool covered_elsewhere(const State& from, std::size_t mark, const Event& event) const;
    [[nodiscard]] std::vector<Event> unseen_events(const State& from, const Coverage& covered) const;
    void add_out_of_play(const Coverage& covered, std::vector<Event>& events) const;

    /// Where a step leads, but for what the automaton makes of it.
    struct Onward {
        const Zone& zone;
        const MarkBits& done;
        const Passed& passed;
        bool next_strictly = true;
    };
    template <class Act>
    void branch(const State& from, const Onward& onward, const Step& step, Act&& act);
    [[nodiscard]] bool as_called(State& next, const Step& step, std::span<const Fact> facts) const;
    void move_clocks(Zone& zone, const WorldState& before, const WorldState& after,
                     const ClockMoves& moves) const;
    void start_deadline(Zone& zone, Deadline deadline, const WorldState& after, std::uint8_t started) const;
    void pass_over(State& state) const;
    void simplify(State& state, const Coverage& covered) const;
    /// Those of the contacts known to be off that cannot come on unseen without another effect.
    [[nodiscard]] PairBits still_off(const WorldState& world, const PairBits& of,
                                     const PairBits& named) const;
    /// Those of the sides known to be behind that cannot be past unseen without another effect.
    [[nodiscard]] SideBits still_behind(const WorldState& world) const;
    [[nodiscard]] bool has_mate(PairIndex pair, const PairBits& among) const;

    [[nodiscard]] static std::size_t hash_of(const State& state);
    /// All but their times and positions.
    [[nodiscard]] static bool are_alike(const State& a, const State& b);
    /// Of two that are alike: every time and position of 'other' is one of 'state'.
    [[nodiscard]] static bool includes(const State& state, const State& other);
    void add(State next, const Step& step, std::span<const Fact> facts);
    StateIndex keep(State state);
    void put_in_bucket(StateIndex index);
    void add_result(const WorldState& world, const Zone& zone);
    void take_in_narrower(StateIndex index);
    [[nodiscard]] StateIndex in_place_of(StateIndex state) const;
    [[nodiscard]] bool is_made_good(const LeftOut& left_out, const Waiting& waiting) const;
    bool make_good();

    [[nodiscard]] Zone::Node offset(std::size_t clock) const {
        return clock == 0 ? 0 : first_offset_ + clock - 1;
    }
    [[nodiscard]] Zone::Node node_of(Deadline deadline) const;

    static constexpr Zone::Node kLast = 1, kStart = 2, kDone = 3, kFirstDeadline = 4;

    const Roles& roles_;
    const Prepared& prepared_;
    const Settings& settings_;
    const AsCalled& called_;
    std::array<Zone::Node, 4> deadline_nodes_{};
    Zone::Node first_offset_ = kFirstDeadline;
    std::vector<State> states_;
    std::vector<StateIndex> buckets_;  ///< by hash: the newest state with it
    std::vector<StateIndex> open_;
    std::vector<LeftOut> left_out_;
    SearchGraph graph_;
    std::vector<RunEnd> run_ends_;
    std::int64_t zones_ = 0, steps_ = 0;  ///< as WorkDone has them
    // Of the state being expanded:
    StateIndex current_ = 0;
    bool met_new_ = false;  ///< something new was found
    Coverage covered_;
    PairBits named_;  ///< of the state that is expanded: what marks to come speak of
    std::vector<Limit> limits_;
};

}  // namespace plumbmark::ruling
