// Places by what results show. Where the time of a result is known only as a bracket, it separates two
// results no further than it can; the place is then one more than the number of results surely ahead, which
// for exact times is the common way to count (1, 2, 2, 4).
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/time.h"

namespace plumbmark::meet {

/// A time between two bounds, both of which it may have; the same twice: exact.
struct TimeRange {
    base::Duration from, to;
    [[nodiscard]] bool is_exact() const { return from == to; }
    friend bool operator==(const TimeRange&, const TimeRange&) = default;
};

/// What a run, or several, come to. Points are 0 where the meet does not count them.
struct Score {
    std::int32_t points = 0;
    std::int32_t cleared = 0;
    std::optional<TimeRange> time;  ///< of the last clear; none: nobody took it, which comes after every time
    /// What settles an exact tie, smaller first (the place in the round before, of a run-off ...); empty at
    /// the end counts as larger than any number.
    std::vector<std::int64_t> tie_break = {};
    friend bool operator==(const Score&, const Score&) = default;
};

enum class Order : std::uint8_t {
    cleared_then_time,  ///< stations cleared, then the time of the last clear
    points_then_time,   ///< points, then the time of the last clear
};

enum class Standing : std::uint8_t { ahead, behind, level, not_separated };

/// How 'a' stands to 'b'. Level: equal in all that is looked at. Not separated: their times overlap and at
/// least one of them is a bracket; no tie-break is asked then, since the times may differ.
[[nodiscard]] Standing compared(const Score& a, const Score& b, Order order);

struct Placing {
    std::size_t place = 1;  ///< one more than the number of results that are surely ahead
    bool shared = false;    ///< another result has the same place
    bool open = false;      ///< a bracket leaves open how it stands to some other result
    friend bool operator==(const Placing&, const Placing&) = default;
};

/// A placing for each score, in the order given. Takes n log n steps for n scores.
[[nodiscard]] std::vector<Placing> placings(const std::vector<Score>& scores, Order order);

/// The index of the result that counts of one athlete's: the first one that no other is surely ahead of.
/// 'scores' is not empty.
[[nodiscard]] std::size_t best_of(const std::vector<Score>& scores, Order order);

}  // namespace plumbmark::meet
