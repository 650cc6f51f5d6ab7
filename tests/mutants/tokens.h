// A C++ source as tokens, just far enough to find conditions in it: comments and preprocessor lines are left
// out, brackets know their partners, and whether an operator has two sides is told from the blanks that
// clang-format puts around it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace plumbmark::mutants {

inline constexpr std::size_t kNone = static_cast<std::size_t>(-1);

struct Token {
    std::string_view text;
    std::size_t at = 0;  ///< offset in the source
    int line = 0;
    bool blank_before = false;
    bool blank_after = false;
    std::size_t partner = kNone;  ///< for brackets, and for the angle brackets of templates

    [[nodiscard]] std::size_t end() const { return at + text.size(); }
    [[nodiscard]] bool is(std::string_view word) const { return text == word; }
    [[nodiscard]] bool is_word() const;
    /// An operator between two values, not a reference, a pointer or a template's bracket.
    [[nodiscard]] bool between() const { return blank_before && blank_after; }
};

/// The tokens of a source, with the brackets matched. They point into 'source', which must outlive them.
/// Throws std::runtime_error where a bracket has no partner.
[[nodiscard]] std::vector<Token> tokens_of(std::string_view source);

}  // namespace plumbmark::mutants
