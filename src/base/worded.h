// Sentences that a window shows and that files, logs or the command line may keep: whole patterns, filled in
// once in English and, where another language is chosen (base/catalogue.h), once more in that one. Word order
// is the translator's, so nothing is put together with '+'.
//
//     return Error{Category::not_found, worded("There is no run '{}'.", name), file};
//
// The texts stand in the catalogue (docs/languages.md). Any thread; takes no lock.
#pragma once

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/catalogue.h"
#include "base/sentence.h"

namespace plumbmark::base {

/// What is filled in for one placeholder. Refers to what it is made of.
class Filling {
  public:
    Filling(const Sentence& sentence) : english_(sentence.english()), spoken_(sentence.spoken()) {}
    Filling(const std::string& name) : english_(name), spoken_(name) {}
    Filling(const char* name) : Filling(std::string_view(name)) {}
    Filling(std::string_view name) : english_(name), spoken_(name) {}
    Filling(std::integral auto number) : own_(std::to_string(number)), english_(own_), spoken_(own_) {}
    Filling(const Filling&) = delete;
    Filling& operator=(const Filling&) = delete;

    [[nodiscard]] std::string_view english() const { return english_; }
    [[nodiscard]] std::string_view spoken() const { return spoken_; }

  private:
    std::string own_;  ///< of a number
    std::string_view english_, spoken_;
};

/// An English text with this many '{}', which the compiler counts; without braces of other kinds.
template <std::size_t N>
class Pattern {
  public:
    consteval Pattern(const char* english) : text_(english) {
        std::size_t holes = 0;
        for (const char* at = english; *at != '\0'; ++at)
            if (at[0] == '{') at[1] == '}' ? void(++holes) : throw "only {} is filled in";
        if (holes != N) throw "as many {} as things to fill in";
    }
    [[nodiscard]] const char* text() const { return text_; }

  private:
    const char* text_;
};

/// 'english' filled in; and 'other', where it is not null, filled in with what is spoken. A translation may
/// name what is filled in by number; the catalogue has been held to the English when it was read.
[[nodiscard]] Sentence filled_in(const char* english, const char* other, const Filling* with,
                                 std::size_t count);

/// A whole sentence, place or clause. Numbers are whole; a time or a measure is formatted before and handed
/// in.
template <class... Args>
[[nodiscard]] Sentence worded(Pattern<sizeof...(Args)> english, const Args&... args) {
    const char* other = english_is_chosen() ? nullptr : translate(english.text());
    if constexpr (sizeof...(Args) == 0) {
        return filled_in(english.text(), other, nullptr, 0);
    } else {
        const Filling with[] = {Filling(args)...};
        return filled_in(english.text(), other, with, sizeof...(Args));
    }
}

/// Where one English text has two meanings, 'context' tells translators which.
template <class... Args>
[[nodiscard]] Sentence worded_in(const char* context, Pattern<sizeof...(Args)> english, const Args&... args) {
    const char* other = english_is_chosen() ? nullptr : translate_in(context, english.text());
    if constexpr (sizeof...(Args) == 0) {
        return filled_in(english.text(), other, nullptr, 0);
    } else {
        const Filling with[] = {Filling(args)...};
        return filled_in(english.text(), other, with, sizeof...(Args));
    }
}

/// The form that goes with 'n', which is filled in first.
template <class... Args>
[[nodiscard]] Sentence worded_n(Pattern<sizeof...(Args) + 1> one, Pattern<sizeof...(Args) + 1> many,
                                std::int64_t n, const Args&... args) {
    const char* other = english_is_chosen() ? nullptr : translate_count(one.text(), many.text(), n);
    const Filling with[] = {Filling(n), Filling(args)...};
    return filled_in(n == 1 ? one.text() : many.text(), other, with, sizeof...(Args) + 1);
}

/// A text of a table, which marked it for the catalogue with to_translate.
[[nodiscard]] Sentence looked_up_word(const char* english);

/// "a", "a and b", "a, b and c"; the other conjunction is "or".
[[nodiscard]] Sentence listed_words(const std::vector<Sentence>& all, const char* conjunction = "and");

}  // namespace plumbmark::base
