// The bare verdicts of all stations: every world enumerated and held against the definitions, without
// explanations.
#pragma once

#include <memory>
#include <vector>

#include "base/result.h"
#include "ruling/internal/calls.h"
#include "ruling/internal/search.h"

namespace plumbmark::ruling {

struct BareVerdict {
    Verdict verdict = Verdict::not_reached;
    bool if_reached = false;
    std::uint16_t failing_clauses = 0;  ///< over all worlds that fail it
    std::vector<std::int16_t> marks;    ///< seen events by which it was decided, over all worlds; -1 for none
    friend bool operator==(const BareVerdict&, const BareVerdict&) = default;
};

/// All worlds of a review, with the search they came from (for examples).
struct Decided {
    std::unique_ptr<Roles> roles;
    std::unique_ptr<Prepared> prepared;
    std::unique_ptr<AsCalled> called;
    std::unique_ptr<Settings> settings;
    std::unique_ptr<Search> search;
    WorkDone work;
    /// Worlds in which each way that a station was decided is met; left out where 'enough' was asked.
    std::vector<Ending> endings;
    std::vector<BareVerdict> stations;  ///< by station of the book; without marks where 'enough' was asked
};

/// Errors as rule_run; contradiction when there is no world at all (without naming marks, which costs more).
[[nodiscard]] base::Result<Decided> decide(const CoursePtr& course, const Evidence& evidence,
                                           const Settings& settings, const AsCalled& called = {},
                                           const Enough& enough = {});

/// Only the worlds in which the earlier stations came out as called. Error unsupported, naming the station,
/// when there is none though the review has worlds.
[[nodiscard]] base::Result<Decided> decide_as_called(const CoursePtr& course, const Evidence& evidence,
                                                     const Settings& settings, const Calls& calls,
                                                     const Enough& enough = {});

/// The verdict of a station of which this was met.
[[nodiscard]] BareVerdict bare_verdict(const Met& met);

}  // namespace plumbmark::ruling
