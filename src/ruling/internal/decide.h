// The bare verdicts of a review: what every world comes to, without explanations. Explanations rule again and
// again with changed evidence, so this is kept apart and quick.
#pragma once

#include <memory>
#include <vector>

#include "base/result.h"
#include "ruling/internal/search.h"
#include "ruling/ruling.h"

namespace plumbmark::ruling {

/// One station over all worlds.
struct BareVerdict {
    Verdict verdict = Verdict::not_reached;
    bool if_reached = false;
    std::uint16_t failing_clauses = 0;  ///< bits of Clause: each decides in some world
    std::vector<std::int16_t> marks;    ///< the seen events at or after which worlds decided it; -1 for none
    friend bool operator==(const BareVerdict&, const BareVerdict&) = default;
};

/// All worlds of a review, with the search they came from (for examples).
struct Decided {
    std::unique_ptr<Roles> roles;
    std::unique_ptr<Prepared> prepared;
    std::unique_ptr<Search> search;
    Endings endings;
    std::vector<BareVerdict> stations;  ///< by station of the book
};

/// Errors as rule_run; contradiction when there is no world at all (without naming marks, which costs more).
/// 'book' must outlive what is returned.
[[nodiscard]] base::Result<Decided> decide(const course::CourseBook& book, const Evidence& evidence,
                                           const Settings& settings, const Enough& enough = {});

/// The verdict of one station over these endings.
[[nodiscard]] BareVerdict bare_verdict(const std::vector<Ending>& endings, std::size_t station);

}  // namespace plumbmark::ruling
