// Reads a word out of a fixed list, with the nearest known word in the error.
#pragma once

#include "base/text.h"
#include "base/worded.h"
#include "store/internal/strict_reader.h"
#include "store/internal/words.h"

namespace plumbmark::store {

/// Throws ReadProblem for the word at this path that is not one of 'known'.
[[noreturn]] inline void fail_on_word(const base::Sentence& path, const std::string& word,
                                      const std::vector<std::string>& known) {
    const std::string shown = word.substr(0, 60);
    const auto nearest = base::nearest_name(shown, known);
    fail_at(path, nearest ? base::worded("'{}' is not known here; did you mean '{}'?", shown, *nearest)
                          : base::worded("'{}' is not known here; one of {} is expected", shown,
                                         base::listed_words({known.begin(), known.end()}, "or")));
}

/// The value of the word that stands as this member. Throws ReadProblem.
template <class List>
[[nodiscard]] auto read_word(const Members& members, const std::string& name, const List& list) {
    const std::string word = members.text(name);
    const auto value = value_of(list, word);
    if (!value) fail_on_word(members.path_of(name), word, words_in(list));
    return *value;
}

}  // namespace plumbmark::store
