// How the engine says things: whole patterns, filled in once in English and, where the thread is Speaking,
// once more in the language of the window. Word order is the translator's, so nothing is put together with
// '+'.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "base/worded.h"

namespace plumbmark::ruling {

using base::Filling;
using base::Pattern;
using base::Sentence;

/// 'english' and what 'context' (may be null) says of it, filled in; the translation may name what is filled
/// in by number.
[[nodiscard]] Sentence fill_in(const char* context, const char* english, const Filling* with,
                               std::size_t count);

/// A whole sentence or clause.
template <class... Args>
[[nodiscard]] Sentence say(Pattern<sizeof...(Args)> english, const Args&... args) {
    if constexpr (sizeof...(Args) == 0) {
        return fill_in(nullptr, english.text(), nullptr, 0);
    } else {
        const Filling with[] = {Filling(args)...};
        return fill_in(nullptr, english.text(), with, sizeof...(Args));
    }
}

/// Where one English text has several translations, 'context' says which: "after if" is a clause after 'if',
/// 'whether', 'unless', 'before' or 'in which', whose words other languages order otherwise.
template <class... Args>
[[nodiscard]] Sentence say_in(const char* context, Pattern<sizeof...(Args)> english, const Args&... args) {
    if constexpr (sizeof...(Args) == 0) {
        return fill_in(context, english.text(), nullptr, 0);
    } else {
        const Filling with[] = {Filling(args)...};
        return fill_in(context, english.text(), with, sizeof...(Args));
    }
}

/// A text of a table, which marked it for the catalogue.
[[nodiscard]] Sentence looked_up(const std::string& english);

/// What the course book calls something: 'english' as it stands in an English sentence ("the gantry deck");
/// elsewhere the bare name between quotation marks, since nobody knows its gender there.
[[nodiscard]] Sentence named(std::string english, const std::string& name);

/// "a", "a and b", "a, b and c"; the other conjunction is "or".
[[nodiscard]] Sentence listed(const std::vector<Sentence>& all, const char* conjunction = "and");

/// With a capital at its beginning.
[[nodiscard]] Sentence sentence_case(const Sentence& sentence);

}  // namespace plumbmark::ruling
