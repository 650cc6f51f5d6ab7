// The ways in which a station may be taken by its definition: where one sets off, where one lands, and which
// of the things that may be left out are used. Pure; any thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "course/book.h"

namespace plumbmark::study {

/// One way, by keys of the course book.
struct Way {
    std::string start;
    std::string landing;             ///< empty: the station asks for planes alone
    std::vector<std::string> items;  ///< of those that may be left out, the ones that are used; ascending
    friend auto operator<=>(const Way&, const Way&) = default;
};

/// Up to so many ways each stands by itself.
inline constexpr std::size_t kMostWays = 256;
/// As far as they are counted.
inline constexpr std::int64_t kMostCountedWays = 1'000'000;

struct Ways {
    std::vector<std::string> starts, landings;  ///< in the order of the book; 'landings' never empty
    /// Items in play that a way may use or leave out, in the order of the book. An item that is a start or a
    /// landing surface, too, is none of them; nor is a required one, or one that a row does not let out.
    std::vector<std::string> optional_items;
    std::int64_t count = 0;  ///< how many ways there are
    bool counted = true;     ///< false: there are more than 'count'
    /// True: 'ways' is all of them. False: so many that each two choices (a start and a landing, a landing
    /// and an item left out ...) that some way has together are together in one of 'ways'; none is guaranteed
    /// to be the least number that does it.
    bool every = true;
    std::vector<Way> ways;
};

/// The ways of a station: every start with every landing and every choice of items that rows (at most so many
/// skipped) and 'after' allow. The same book gives the same ways in the same order.
[[nodiscard]] Ways ways_of(const course::CourseBook& book, course::StationId station,
                           std::size_t most = kMostWays);

/// By each of 'ways.ways', whether it is still to be shown, where these were cleared: where every way stands
/// by itself, all but the cleared ones; else those that bring two choices together that no cleared way and no
/// earlier one of them does. A cleared way that is not one of the station's brings nothing.
[[nodiscard]] std::vector<bool> still_unproven(const Ways& ways, const std::vector<Way>& cleared);

}  // namespace plumbmark::study
