// Engine against oracle, and how a disagreement is made small.
#pragma once

#include <map>
#include <string>

#include "oracle/worlds.h"

namespace plumbmark::oracle {

enum class Skipped {
    no,
    too_large,   ///< for the oracle: more states than its effort allows
    too_tangled  ///< for the engine: more states than its budget allows
};

struct Comparison {
    bool agree = true;
    Skipped skipped = Skipped::no;
    std::string difference;
    Answer answer;
};

/// Rules the review with both. The drift between two marks is left out (the grid has none).
[[nodiscard]] Comparison compare(const Case& review, const Effort& effort = {});

/// Takes away what the disagreement does not need: marks, statements, spans, doubts, rules of the book.
[[nodiscard]] Case reduced(Case review, const Effort& effort = {});

/// A disagreement made small, in readable text: the review, what differs, and the oracle's worlds.
[[nodiscard]] std::string disagreement_text(const Case& review);

/// How a number of cases came out.
struct Spread {
    int cases = 0;
    int too_large = 0;
    int too_tangled = 0;
    int without_world = 0;
    int disagreements = 0;
    std::map<std::string, int> verdicts;  ///< over all stations
    std::map<std::string, int> clauses;   ///< of shown FAILs
    void count(const Case& review, const Comparison& comparison);
    [[nodiscard]] int skipped() const { return too_large + too_tangled; }
    [[nodiscard]] int stations() const;
    /// Cases, verdicts and clauses, how many each and why some were skipped; lines of text.
    [[nodiscard]] std::string text() const;
};

}  // namespace plumbmark::oracle
