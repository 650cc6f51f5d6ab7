// Every world of a small review: the states that the plain judge can be in are followed through the stretches
// of the review, and in each stretch every event that can happen does, in every order. Nothing is sampled and
// no number of unseen events is fixed: a state that was met in a stretch before is not followed again, and
// there are finitely many.
//
// Without lengths of time only the order of the named moments matters; where two clips are there, every order
// that their frames allow is tried. With lengths of time see clocks.h.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "oracle/plain_judge.h"

namespace plumbmark::oracle {

/// A review that the oracle can enumerate: all times and durations are whole multiples of unit_ns, with at
/// most two clips, 32 marks, kMostStations, kMostSurfaces - 1 surfaces and kMostPlanes.
struct Case {
    course::CourseBook book;
    ruling::Evidence evidence;
    std::int64_t unit_ns = 10'000'000;
};

/// How one world ended.
struct Ending {
    std::array<Ruled, kMostStations> stations{};
    bool finished = false;
    friend auto operator<=>(const Ending&, const Ending&) = default;
};

struct StationAnswer {
    ruling::Verdict verdict = ruling::Verdict::not_reached;
    bool if_reached = false;
    std::set<ruling::Clause> failing;  ///< clauses by which some world fails it
    std::set<std::int32_t> points;     ///< over the worlds that reach it, where every station counts
    friend bool operator==(const StationAnswer&, const StationAnswer&) = default;
};

struct Answer {
    bool too_large = false;   ///< given up: says nothing about the review
    bool consistent = false;  ///< at least one world
    std::vector<StationAnswer> stations;
    std::set<ruling::RunResult> results;
    std::map<Ending, std::string> worlds;  ///< each ending; where worlds are told, one world as readable text
    std::size_t states = 0;                ///< that were followed
};

struct Effort {
    std::size_t most_states = 2'500;
    std::int64_t engine_states = 5'000;  ///< the engine's budget where the two are compared
    bool tell = false;                   ///< write down a world of each ending
};

[[nodiscard]] Answer enumerate(const Case& review, const Effort& effort = {});

/// True when the book has a hold, a cap, a rest limit or a run cap.
[[nodiscard]] bool has_durations(const course::CourseBook& book);

}  // namespace plumbmark::oracle
