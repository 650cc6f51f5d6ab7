// The ledger of work: for each rule case and for a set of generated reviews, what ruling it takes
// (ruling::WorkDone). A stored text file, so that a search that leaves out less than it did is noticed though
// every verdict is the same.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "ruling/ruling.h"

namespace plumbmark::test {

/// One review of the ledger.
struct WorkReview {
    std::string name;  ///< "contacts: a brush of the floor", "bench: twelve marks", "seed 12"
    std::function<base::Result<ruling::RunRuling>()> rule;
};

/// The rule cases, the reviews of tests/bench_ruling, and random reviews of these first seeds; those that are
/// refused are among them.
[[nodiscard]] std::vector<WorkReview> work_reviews();

/// One line of the ledger: "12 states, 30 zones, 41 steps: seed 12".
[[nodiscard]] std::string ledger_line(const std::string& name, const ruling::WorkDone& work);

struct LedgerEntry {
    std::string name;
    ruling::WorkDone work;
};
/// Reads tests/ruling/work-ledger.txt. Throws std::runtime_error with the line that it does not understand.
[[nodiscard]] std::vector<LedgerEntry> read_ledger();
[[nodiscard]] std::string ledger_path();

/// What is otherwise than in the ledger, in words; empty where nothing is.
struct WorkDifference {
    std::vector<std::string> more;   ///< a review takes more, is refused, or is not in the ledger
    std::vector<std::string> fewer;  ///< takes less: the ledger can be written anew
};
/// 'first_only': stops at the first that takes more.
[[nodiscard]] WorkDifference compare_with_ledger(bool first_only = false);

}  // namespace plumbmark::test
