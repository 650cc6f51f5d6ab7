// Small helpers for words that people read.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace plumbmark::base {

/// True when the bytes are well-formed UTF-8 (no overlong forms, no surrogates, at most U+10FFFF).
[[nodiscard]] bool is_utf8(std::string_view bytes);

/// The code points of well-formed UTF-8; malformed bytes become U+FFFD.
[[nodiscard]] std::u32string code_points(std::string_view utf8);

/// Number of single-character insertions, deletions, substitutions and swaps of neighbours between two words,
/// over code points (the 'optimal string alignment' distance; Damerau 1964, in the restricted form).
[[nodiscard]] int edit_distance(std::string_view a, std::string_view b);

/// The known name nearest to a misspelt one, when it is near enough to be a slip of the pen (at most a third
/// of the longer word's letters, at least one). Ties: the first in 'known'.
[[nodiscard]] std::optional<std::string> nearest_name(std::string_view word,
                                                      const std::vector<std::string>& known);

/// "a", "a and b", "a, b and c" (conjunction "and" by default).
[[nodiscard]] std::string listed(const std::vector<std::string>& words, std::string_view conjunction = "and");

/// "1 frame", "2 frames": the noun with its plural 's'.
[[nodiscard]] std::string counted(std::int64_t n, std::string_view noun);

/// The text without these characters at its two ends.
[[nodiscard]] std::string_view trimmed(std::string_view text, std::string_view of = " \t");

/// The text with its first letter in upper case (ASCII letters only).
[[nodiscard]] std::string sentence_case(std::string text);

}  // namespace plumbmark::base
