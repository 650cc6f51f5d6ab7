// Every world of a review, by a search over zones (docs/rulings.md, 'How it is computed'): a state is what
// has been done, what the automaton has come to, and bounds on the differences of the few times that still
// matter.
#pragma once

#include <bitset>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "ruling/internal/prepared.h"
#include "ruling/internal/world_state.h"
#include "ruling/internal/zone.h"

namespace plumbmark::ruling {

inline constexpr std::size_t kMostMarks = 512;
using MarkBits = std::bitset<kMostMarks>;

/// One step of a world.
struct Step {
    enum class Kind : std::uint8_t { begin, mark, skipped, unseen, moment, deadline } kind = Kind::begin;
    int mark = -1;  ///< for mark and skipped
    int clip = -1;  ///< for moment
    int moment = -1;
    Deadline deadline = kHold;
    Event event;  ///< what happened, for mark and unseen
    bool unseen_finish = false;
};

/// One set of outcomes that some world has, with an example.
struct Ending {
    WorldState world;
    std::size_t node = 0;                    ///< for Search::path
    std::optional<std::int64_t> split_low;   ///< over all its worlds: done minus start, exclusive
    std::optional<std::int64_t> split_high;  ///< inclusive; none: no limit
};

/// What the search found.
struct Endings {
    std::vector<Ending> endings;  ///< no two with the same decisions; empty: no world at all
    std::int64_t states = 0;
};

/// Whether these endings already answer what was asked.
using Enough = std::function<bool(const std::vector<Ending>&)>;

class Search {
  public:
    Search(const Roles& roles, const Prepared& prepared, const Settings& settings);

    /// Errors: too_tangled when the budget of states is used up; cancelled when settings.stopped says so.
    /// 'enough' is asked after each new ending whether to stop there; empty: goes on to the end.
    [[nodiscard]] base::Result<Endings> run(const Enough& enough = {});
    /// The steps that lead to an ending, in order. Valid after run().
    [[nodiscard]] std::vector<Step> path(std::size_t node) const;
    /// What the world had come to after each of those steps.
    [[nodiscard]] std::vector<WorldState> worlds(std::size_t node) const;
    /// Where two or more brackets overlap most, for the sentence of a refusal: indices of marks.
    [[nodiscard]] std::vector<int> tangle() const;

  private:
    struct State {
        WorldState world;
        MarkBits done;
        std::vector<std::uint16_t> passed;  ///< moments passed, by clip
        bool next_strictly = true;          ///< the next event is later than 'last', not at the same instant
        Zone zone;
        std::size_t parent = 0;
        Step step;
        bool dropped = false;  ///< a wider state took its place
    };

    [[nodiscard]] State root() const;
    [[nodiscard]] bool tie_clocks(Zone& zone) const;
    void expand(std::size_t index);
    void step_mark(const State& from, std::size_t mark);
    void step_moment(const State& from, std::size_t clip);
    void step_deadline(const State& from, Deadline deadline);
    void step_unseen(const State& from);
    void record_end(const State& from, std::size_t index);

    [[nodiscard]] std::optional<Zone> zone_for_event(const State& from, std::size_t mark) const;
    [[nodiscard]] bool before_others(Zone& zone, const State& from, std::size_t except) const;
    [[nodiscard]] bool before_deadlines(Zone& zone, const State& from) const;
    [[nodiscard]] bool remaining_after(Zone& zone, const State& from, Zone::Node node, std::int64_t time,
                                       bool strictly) const;
    [[nodiscard]] bool covered_elsewhere(const State& from, std::size_t mark, const Event& event) const;
    [[nodiscard]] std::vector<Event> unseen_events(const State& from, const Coverage& covered) const;

    template <class Act>
    void branch(const State& from, const Zone& zone, const MarkBits& done,
                const std::vector<std::uint16_t>& passed, bool next_strictly, const Step& step, int mark,
                Act&& act);
    void move_clocks(Zone& zone, const WorldState& before, const WorldState& after, std::uint8_t started,
                     bool mark_start, bool mark_done) const;
    void simplify(State& state) const;
    /// Those of the contacts known to be off that cannot come on unseen without failing what is under way.
    [[nodiscard]] PairBits still_off(const WorldState& world, const PairBits& of) const;
    void add(State state);

    [[nodiscard]] static Zone::Node offset(std::size_t clock) {
        return clock == 0 ? 0 : kFirstOffset + clock - 1;
    }
    [[nodiscard]] static Zone::Node node_of(Deadline deadline);

    static constexpr Zone::Node kLast = 1, kStart = 2, kDone = 3, kFirstDeadline = 4, kFirstOffset = 8;

    const Roles& roles_;
    const Prepared& prepared_;
    const Settings settings_;
    std::vector<State> states_;
    std::multimap<std::size_t, std::size_t> by_hash_;
    std::vector<std::size_t> open_;
    std::size_t current_ = 0;  ///< the state being expanded
    std::vector<Ending> endings_;
};

}  // namespace plumbmark::ruling
