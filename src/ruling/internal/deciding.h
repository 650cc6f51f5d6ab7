// By which event a station was decided, in which world and for which reason.
#pragma once

#include <optional>
#include <vector>

#include "ruling/internal/timeline.h"

namespace plumbmark::ruling {

/// One way in which a station failed.
struct Reason {
    Clause clause = Clause::landing;
    Sentence words;    ///< "the right foot touched rung 2, which is for hands only"
    Sentence whether;  ///< the same as it stands after 'whether'
    bool unseen = false;
    friend bool operator==(const Reason&, const Reason&) = default;
};

/// Index of the seen event by which every world has decided the station: of those at which worlds decide, the
/// one that ends last. None where some world decides after the last seen event, or no world decides.
[[nodiscard]] std::optional<std::size_t> deciding_mark(const Inquiry& inquiry, std::size_t station);

/// Where the station begins: the bracket of the event with which it begins, as far as all examples agree on
/// a clip.
[[nodiscard]] std::optional<Shown> begins_at(const Inquiry& inquiry, std::size_t station);

/// The ways in which the station fails, over all endings, without repeats; seen ones first.
[[nodiscard]] std::vector<Reason> reasons(const Inquiry& inquiry, std::size_t station);

/// The first clause of the set.
[[nodiscard]] Clause first_clause(std::uint16_t clauses);

}  // namespace plumbmark::ruling
