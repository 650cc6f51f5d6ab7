// Course books at random, of every shape that reading can give.
#pragma once

#include "course/book.h"

namespace plumbmark::course::testing {

/// One random book inside a RapidCheck property (draws from the running case).
[[nodiscard]] CourseBook random_book();

}  // namespace plumbmark::course::testing
