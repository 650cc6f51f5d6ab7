// Rule cases as a judge can write them: a course in the course book's own format, then reviews of runs on it,
// each with the verdicts that are right and why. The format is described in tests/ruling/cases/README.md.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::test {

struct ExpectedStation {
    std::string station;
    ruling::Verdict verdict = ruling::Verdict::clear;
    bool if_reached = false;
    std::vector<ruling::Clause> clauses;  ///< for FAIL: exactly these, in the order of the enumeration
};

struct RuleCase {
    std::string title;
    std::string why;
    course::CourseBook book;
    ruling::Evidence evidence;
    ruling::Settings settings;
    std::vector<ExpectedStation> expected;
    std::vector<std::int64_t> contradiction;  ///< numbers of the lines' marks that the refusal must name
    bool refused = false;
    std::string points;   ///< "3 5": the points over the worlds; empty: not looked at
    std::string results;  ///< "1", "0 1", "2 full"; empty: not looked at
};

/// Reads one file. Throws std::runtime_error with file and line for anything it does not understand.
[[nodiscard]] std::vector<RuleCase> read_cases(std::string_view text, const std::string& file);

}  // namespace plumbmark::test
