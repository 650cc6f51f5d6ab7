// Which of a language's forms goes with a number: the C expression in a catalogue's Plural-Forms line
// (GNU gettext manual 0.21, section 11.2.6, 'Additional functions for plural forms').
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace plumbmark::base {

/// Immutable; any thread.
class PluralRule {
  public:
    /// The rule of English and German: two forms, the first for 1.
    PluralRule();
    /// From "nplurals=2; plural=(n != 1);". What cannot be read is the usual rule.
    explicit PluralRule(std::string_view line);

    [[nodiscard]] std::size_t forms() const { return forms_; }
    /// From 0; always less than forms().
    [[nodiscard]] std::size_t form(std::uint64_t n) const;

  private:
    friend class PluralReader;
    /// One node of the expression: an operator with up to three nodes before it, a number, or n.
    struct Node {
        int kind;
        std::uint64_t number = 0;
        int a = -1, b = -1, c = -1;
    };
    [[nodiscard]] std::uint64_t value(int node, std::uint64_t n) const;

    std::vector<Node> nodes_;
    int root_ = -1;
    std::size_t forms_ = 2;
};

}  // namespace plumbmark::base
