#include "course/internal/problems.h"

#include <algorithm>
#include <tuple>

#include "base/text.h"

namespace plumbmark::course::internal {
namespace {

constexpr std::size_t kLongestQuoted = 60;
constexpr std::size_t kLongestCompared = 200;

bool before(const BookProblem& a, const BookProblem& b) {
    return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
}

// Bytes of the code point that starts here; the text was checked to be UTF-8 before it came this far.
std::size_t point_length(unsigned char first) {
    return first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
}

}  // namespace

void Problems::add(Place place, Sentence found, Sentence expected, std::string suggestion) {
    ++total_;
    if (crowded()) return;
    kept_.push_back({place, std::move(found), std::move(expected), std::move(suggestion)});
}

std::vector<BookProblem> Problems::in_file_order() && {
    std::stable_sort(kept_.begin(), kept_.end(), before);
    if (kept_.size() > kMostProblems) kept_.resize(kMostProblems);
    if (total_ > kMostProblems) {
        const auto more = static_cast<std::int64_t>(total_ - kMostProblems);
        kept_.push_back({kept_.back().place,
                         worded_n("there are {} more problem", "there are {} more problems", more),
                         worded("the ones above to be mended first"), ""});
    }
    return std::move(kept_);
}

Sentence quoted(std::string_view text) {
    std::string shown;
    std::size_t letters = 0;
    for (std::size_t i = 0; i < text.size(); i += point_length(static_cast<unsigned char>(text[i]))) {
        if (++letters > kLongestQuoted) return worded("'{}...'", shown);
        const auto first = static_cast<unsigned char>(text[i]);
        shown += first < 0x20 || first == 0x7F ? "?" : std::string(text.substr(i, point_length(first)));
    }
    return worded("'{}'", shown);
}

std::string nearest_or_none(std::string_view word, const std::vector<std::string>& known) {
    if (word.size() > kLongestCompared) return {};
    return base::nearest_name(word, known).value_or(std::string{});
}

}  // namespace plumbmark::course::internal
