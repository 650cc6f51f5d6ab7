// What reading alone does not see: a course book that can be read and still cannot be ruled, or that probably
// does not say what its setter meant.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/sentence.h"
#include "course/book.h"

namespace plumbmark::course {

enum class Severity {
    error,    ///< no run can be ruled under this book as it stands
    warning,  ///< a run can be ruled; the setter should look once more
};

/// One thing that a check found.
struct Finding {
    std::string code;  ///< stable short name of the check, "landing-not-next-start"
    Severity severity = Severity::error;
    base::Sentence sentence;  ///< what is so and why it matters
    Place place;              ///< where in the file; line 0 when the book did not come from one
    base::Sentence repair;    ///< what to write instead
    /// "hop.course:12:1: error: sentence repair [code]"; without a file the line begins with the place.
    /// English.
    [[nodiscard]] std::string text(std::string_view file) const;
    friend bool operator==(const Finding&, const Finding&) = default;
};

/// One check of the list, for help and documentation.
struct CheckInfo {
    std::string code;
    Severity severity = Severity::error;
    std::string about;  ///< what it looks for, in one sentence
};

/// Every check there is, in the order in which they run.
[[nodiscard]] std::vector<CheckInfo> book_checks();

/// Runs every check over the book and over the course of each of its divisions and lanes (a finding that only
/// a division or a lane has says so). Sorted by place, then in the order of the list. Any book may be given,
/// also one that no file would give, as long as its ids are valid; never stops, never throws. Pure.
[[nodiscard]] std::vector<Finding> check_book(const CourseBook& book);

/// True when one of the findings is an error.
[[nodiscard]] bool has_errors(const std::vector<Finding>& findings);

}  // namespace plumbmark::course
