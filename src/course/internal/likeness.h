// Which names and keys people take for one another when they read, type or call them out.
#pragma once

#include <string>
#include <string_view>

namespace plumbmark::course::internal {

/// How two words are alike; the first that holds.
enum class Likeness {
    none,
    same_folded,  ///< but for capitals, spaces, '_' and '-', and how their letters are encoded
    look_same,    ///< but for letters that look alike: '0' and 'O', '1' and 'l', Latin and Greek 'o'
    one_letter,   ///< one letter is put in, left out, another, or swapped with its neighbour
};

/// A word in the forms that are compared; made once for each, since every pair is.
class ComparedWord {
  public:
    /// Folded by NFKC_Casefold (Unicode Standard, 3.13), and as the skeleton of Unicode Technical Standard
    /// 39, section 4, both by ICU. Malformed UTF-8 is compared as U+FFFD.
    explicit ComparedWord(std::string_view utf8);

    [[nodiscard]] const std::u32string& folded() const { return folded_; }
    [[nodiscard]] const std::u32string& skeleton() const { return skeleton_; }

  private:
    std::u32string folded_;
    std::u32string skeleton_;
};

/// How they are alike. One letter apart counts only for words of four letters and more, and not where they
/// differ in what tells the members of a row apart: numbers, and words of one or two letters ("rung 1" and
/// "rung 2", "lane a" and "lane b"). Symmetric; words that are equal are same_folded. Linear in their length.
[[nodiscard]] Likeness likeness(const ComparedWord& a, const ComparedWord& b);

}  // namespace plumbmark::course::internal
