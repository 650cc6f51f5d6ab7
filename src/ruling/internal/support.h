// What a shown ruling rests on, and how far its marks could be wrong.
#pragma once

#include <algorithm>
#include <optional>
#include <vector>

#include "ruling/internal/inquiry.h"

namespace plumbmark::ruling {

/// Marks, statements and spans of a review of which some are left out: one flag for each, in the order marks,
/// statements, spans.
using Kept = std::vector<bool>;

[[nodiscard]] std::size_t item_count(const Evidence& evidence);
[[nodiscard]] MarkId item_id(const Evidence& evidence, std::size_t item);
/// The review with only the kept items.
[[nodiscard]] Evidence only(const Evidence& evidence, const Kept& kept);

/// Leaves out items as long as 'still' holds, in big pieces first, in the order given (the first are tried
/// first); at the end none can be left out alone. 'still' answers none when it cannot afford to know; then
/// the result is none.
template <class Still>
[[nodiscard]] std::optional<Kept> minimal(Kept kept, const std::vector<std::size_t>& order, Still&& still) {
    std::vector<std::size_t> left = order;
    std::size_t piece = (left.size() + 1) / 2;
    for (bool dropped = true; piece > 0 && !left.empty();) {
        dropped = false;
        for (std::size_t begin = 0; begin < left.size();) {
            const std::size_t end = std::min(begin + piece, left.size());
            Kept fewer = kept;
            for (std::size_t i = begin; i < end; ++i)
                fewer[left[i]] = false;
            const std::optional<bool> holds = still(fewer);
            if (!holds) return std::nullopt;
            if (*holds) {
                kept = fewer;
                left.erase(left.begin() + static_cast<std::ptrdiff_t>(begin),
                           left.begin() + static_cast<std::ptrdiff_t>(end));
                dropped = true;
            } else {
                begin = end;
            }
        }
        // What could not go before may go once others are gone.
        if (piece > 1)
            piece = (piece + 1) / 2;
        else if (!dropped)
            piece = 0;
    }
    return kept;
}

/// A set of items that shows the station's ruling and from which none can be left out; none when that is not
/// known within the work that is left. Only for shown rulings.
[[nodiscard]] std::optional<Kept> rests_on(const Inquiry& inquiry, std::size_t station);

/// The margin of a ruling that rests on these items. Frames: the largest number by which every kept mark can
/// be widened at both ends, beyond a clip's ends to 'before' or 'after' it. Time: the supremum of widening
/// every kept mark by a time, to the microsecond, rounded down.
[[nodiscard]] std::optional<Margin> margin_of(const Inquiry& inquiry, std::size_t station, const Kept& kept);

}  // namespace plumbmark::ruling
