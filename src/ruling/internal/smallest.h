// The smallest set of items that cannot all be true.
#pragma once

#include <functional>
#include <optional>

#include "ruling/internal/support.h"

namespace plumbmark::ruling {

/// Whether the items that are kept cannot all be true; none when it cannot be afforded to know.
using Refused = std::function<std::optional<bool>(const Kept&)>;

struct Smallest {
    Kept kept;            ///< refused
    bool proven = false;  ///< no set of fewer items is
};

/// Of the sets that are refused one with the fewest items, beginning with 'known', which is refused.
/// 'refused' is to hold of a set when it holds of a part of it. By hitting sets: what is left out of a set
/// that is not refused meets every set that is, so one that meets all of those found, of the fewest items
/// that can, is the answer as soon as it is refused itself (A. Ignatiev, A. Previti, M. Liffiton, J.
/// Marques-Silva: Smallest MUS extraction with minimal hitting set dualization, CP 2015, LNCS 9255). Gives
/// up, with the smallest that is known, where 'refused' does not know of such a set, and after 'most_rounds'
/// of them.
[[nodiscard]] Smallest smallest_refused(const Kept& known, const Refused& refused, int most_rounds);

}  // namespace plumbmark::ruling
