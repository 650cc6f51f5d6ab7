// Writing a course book as the TOML that a course setter would write.
#pragma once

#include <string>

#include "course/book.h"

namespace plumbmark::course {

/// The book as TOML text, UTF-8, lines ending in '\n'. Law: for every book that read_book() can give,
/// without_places(read_book(write_book(book))) == without_places(book). Values that are the default are left
/// out. Ids in the book must be valid where they are not optional; otherwise the program stops. Pure.
[[nodiscard]] std::string write_book(const CourseBook& book);

}  // namespace plumbmark::course
