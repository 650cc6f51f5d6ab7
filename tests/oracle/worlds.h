// Every world of a small review, one after the other in time: a set of states of the plain judge is carried
// forward over the steps of a grid, and at each step every event that can happen does. Clip offsets are
// simply all tried.
//
// Without durations, the events of one step may be any number in any order, which is exact: between two
// neighbouring frame times dense time has room for them all. With durations at most one event falls on a
// step, and a frame interval has so many steps that events, deadlines and frame times find room in every
// order; twice as many can be asked for.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "oracle/plain_judge.h"

namespace plumbmark::oracle {

/// A review that the oracle can enumerate: all times and durations are whole multiples of unit_ns.
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
    friend bool operator==(const StationAnswer&, const StationAnswer&) = default;
};

struct Answer {
    bool too_large = false;   ///< given up: says nothing about the review
    bool consistent = false;  ///< at least one world
    std::vector<StationAnswer> stations;
    std::set<ruling::RunResult> results;
    std::map<Ending, std::string> worlds;  ///< one world of each ending, as readable text
};

struct Effort {
    int steps_per_unit = 5;  ///< where there are durations
    std::size_t most_states = 30'000;
};

[[nodiscard]] Answer enumerate(const Case& review, const Effort& effort = {});

/// True when the book has a hold, a cap, a rest limit or a run cap.
[[nodiscard]] bool has_durations(const course::CourseBook& book);

}  // namespace plumbmark::oracle
