// A small review as text that a person can read and check by hand.
#pragma once

#include <string>

#include "course/book.h"
#include "ruling/evidence.h"

namespace plumbmark::oracle {

struct Case;
struct Answer;

[[nodiscard]] std::string words(const course::CourseBook& book, const ruling::Happening& what);
/// The course and everything the review says, one thing on a line.
[[nodiscard]] std::string describe(const Case& review);
/// The oracle's verdicts with one world of each ending.
[[nodiscard]] std::string describe(const Case& review, const Answer& answer);

}  // namespace plumbmark::oracle
