// Where a band of lit rows begins or ends (flash_rows.h). Pure.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "sight/flash_rows.h"

namespace plumbmark::sight {

/// A standard deviation as the median of absolute deviations has it, for a normal distribution.
inline constexpr double kOfMedian = 1.4826;

/// The middle one by size (the upper of two); 0 of none.
[[nodiscard]] float middle_of(std::vector<float> values);

/// Something about rows from the first to before the second.
using RowsQuestion = std::function<bool(int first, int past)>;

struct LitBand {
    const std::vector<float>& excess;  ///< of each row of the picture, over what it is without the flash
    int first = 0, past = 0;           ///< its rows above 'least', 'past' not included
    double noise = 0;                  ///< standard deviation of a row's excess where nothing is lit
    double least = 0;
    RowsQuestion across_width;  ///< whether these rows are a little brighter over the picture's width
};

/// The band's first edge ('rises') or its last. None where it has no level inside or none outside: the light
/// comes or goes over more rows than there are, or the rows outside are lit as well, only less.
[[nodiscard]] std::optional<RowEdge> band_edge(const LitBand& band, bool rises);

}  // namespace plumbmark::sight
