// What is said with several sentences, in both of their languages (base/worded.h says one).
#pragma once

#include <vector>

#include "base/result.h"

namespace plumbmark::review {

/// One after the other, with a blank between.
[[nodiscard]] inline base::Sentence in_a_row(const std::vector<base::Sentence>& sentences) {
    std::string english, spoken;
    for (const base::Sentence& one : sentences) {
        english += (english.empty() ? "" : " ") + one.english();
        spoken += (spoken.empty() ? "" : " ") + one.spoken();
    }
    return {std::move(english), std::move(spoken)};
}

/// "where: sentence", for an error that is told with another place before it.
[[nodiscard]] inline base::Sentence whole_of(const base::Error& error) {
    return {error.text(), error.spoken()};
}

}  // namespace plumbmark::review
