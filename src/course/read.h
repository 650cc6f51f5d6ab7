// Reading a course book from the TOML a course setter wrote.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "course/book.h"

namespace plumbmark::course {

/// One thing wrong in a course book, as the person who wrote it needs to hear it.
struct BookProblem {
    Place place;
    base::Sentence found;     ///< what stands there
    base::Sentence expected;  ///< what should
    std::string suggestion;   ///< the nearest known name for a slip of the pen; may be empty
    /// "pier-nine.course:12:9: 'coil_dekc' is not a declared surface; expected ... Did you mean 'coil_deck'?"
    [[nodiscard]] std::string text(std::string_view file) const;
    /// The same in the language in which the book was read, for a window.
    [[nodiscard]] std::string spoken(std::string_view file = {}) const;
    friend bool operator==(const BookProblem&, const BookProblem&) = default;
};

/// A book that was read, or all that is wrong with it.
struct ReadBook {
    std::optional<CourseBook> book;     ///< set exactly when 'problems' is empty
    std::vector<BookProblem> problems;  ///< in file order
};

/// Reads a whole course book. Never throws; any bytes are allowed as input (ill-formed UTF-8 is a problem
/// with its place). At most 1 MiB; a longer text is one problem. Pure: no file is touched.
[[nodiscard]] ReadBook read_book(std::string_view toml_text);

/// The same as one Error whose sentence holds every problem on its own line, each with 'file' in front.
[[nodiscard]] base::Result<CourseBook> read_book_or_error(std::string_view toml_text, std::string_view file);

}  // namespace plumbmark::course
