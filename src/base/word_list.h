// Fixed choices and the words that files and options use for them.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/check.h"

namespace plumbmark::base {

/// A choice and its word; lists of them are std::arrays.
template <class E>
using Word = std::pair<E, const char*>;

/// The word for a value that is in the list; anything else is a mistake of ours.
template <class List, class E>
[[nodiscard]] std::string word_for(const List& list, E value) {
    for (const auto& [choice, word] : list) {
        if (choice == value) return word;
    }
    PLUMBMARK_CHECK(!"a value without a word");
    return {};
}

template <class List>
[[nodiscard]] auto value_of(const List& list, std::string_view word)
    -> std::optional<typename List::value_type::first_type> {
    for (const auto& [choice, known] : list) {
        if (known == word) return choice;
    }
    return std::nullopt;
}

template <class List>
[[nodiscard]] std::vector<std::string> words_in(const List& list) {
    std::vector<std::string> words;
    for (const auto& [choice, word] : list)
        words.emplace_back(word);
    return words;
}

}  // namespace plumbmark::base
