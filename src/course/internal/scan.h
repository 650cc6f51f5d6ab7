// A first look at the bytes of a course book, before any parser sees them: the limits that keep a hostile or
// damaged text from costing more than it is worth.
#pragma once

#include <cstddef>
#include <string_view>

#include "course/internal/problems.h"

namespace plumbmark::course::internal {

inline constexpr std::size_t kMostBytes = 1024 * 1024;
inline constexpr std::size_t kLongestLine = 10'000;  ///< bytes
/// Brackets within brackets. A book needs 4; TOML parsers recurse on each level.
inline constexpr std::size_t kDeepestNesting = 16;
/// Dots in one dotted key. Each dot is a table within a table, which a parser takes apart recursively.
inline constexpr int kMostDots = 8;

/// Adds a problem for the first limit that the text breaks and returns false; true when it keeps them all:
/// its size, well-formed UTF-8, the length of its lines, the depth of brackets and of dotted keys, names in
/// its headings.
[[nodiscard]] bool within_limits(std::string_view text, Problems& problems);

}  // namespace plumbmark::course::internal
