// What is wrong in a course book, collected while it is read and handed out in file order.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/worded.h"
#include "course/read.h"

namespace plumbmark::course::internal {

using base::Sentence;
using base::worded;
using base::worded_in;
using base::worded_n;

/// At most this many problems are told at once; a last one says how many more there are.
inline constexpr std::size_t kMostProblems = 200;

class Problems {
  public:
    void add(Place place, Sentence found, Sentence expected, std::string suggestion = {});
    [[nodiscard]] bool empty() const { return total_ == 0; }
    [[nodiscard]] std::size_t total() const { return total_; }
    /// True once more were collected than will be told: nearest names need no longer be looked for.
    [[nodiscard]] bool crowded() const { return total_ > 4 * kMostProblems; }
    /// The problems sorted by line and column; of several at one place, the first added stays first.
    [[nodiscard]] std::vector<BookProblem> in_file_order() &&;

  private:
    std::vector<BookProblem> kept_;
    std::size_t total_ = 0;
};

/// "'text'" with control characters as '?' and cut after 60 characters, so that a message stays one line.
[[nodiscard]] Sentence quoted(std::string_view text);

/// The nearest of the known names, or nothing; words longer than any name are not compared.
[[nodiscard]] std::string nearest_or_none(std::string_view word, const std::vector<std::string>& known);

}  // namespace plumbmark::course::internal
