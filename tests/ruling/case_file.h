// Rule cases as a judge can write them: a course in the course book's own format, then reviews of runs on it,
// each with the verdicts that are right and why. The format is described in tests/ruling/cases/README.md.
#pragma once

#include <optional>
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

/// What a case says of the run's split, where it says anything.
struct ExpectedSplit {
    bool none = false;  ///< the results agree on no last clear
    base::Time after, until;
    std::int64_t low = 0, high = 0;  ///< nanoseconds from the start signal: more than low, at most high
};

/// The stations before this one are taken as called.
struct Appeal {
    course::StationId station;
    std::vector<bool> called_clear;
};

struct RuleCase {
    std::string title;
    std::string why;
    std::vector<std::string> patterns;  ///< keys of tests/ruling/cases/patterns.txt
    course::CourseBook book;
    ruling::Evidence evidence;
    ruling::Settings settings;
    std::vector<ExpectedStation> expected;
    std::vector<std::int64_t> contradiction;  ///< numbers of the lines' marks that the refusal must name
    bool refused = false;
    std::string points;   ///< "3 5": the points over the worlds; empty: not looked at
    std::string results;  ///< "1", "0 1", "2-full"; empty: not looked at
    std::optional<ExpectedSplit> split;
    std::optional<Appeal> appeal;
};

/// Reads one file. Throws std::runtime_error with file and line for anything it does not understand.
[[nodiscard]] std::vector<RuleCase> read_cases(std::string_view text, const std::string& file);

/// The cases of one file of tests/ruling/cases, by its name without '.case'. Throws as read_cases() does.
[[nodiscard]] std::vector<RuleCase> cases_of(const std::string& name);

struct CaseFile {
    std::string name;  ///< without '.case'
    std::vector<RuleCase> cases;
};
/// All files of tests/ruling/cases, by name. Throws as read_cases() does.
[[nodiscard]] std::vector<CaseFile> case_files();

/// Rules it: the run, or the appeal that the case is about.
[[nodiscard]] base::Result<ruling::RunRuling> rule(const RuleCase& rule_case);

}  // namespace plumbmark::test
