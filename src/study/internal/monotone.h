// Between points of a table: a smooth curve through all of them that rises and falls only where they do.
#pragma once

#include <cstddef>
#include <span>

namespace plumbmark::study {

/// Cubic pieces with slopes of F. N. Fritsch and J. Butland (SIAM J. Sci. Stat. Comput. 5 (1984) 300-304), at
/// the ends the slope of the end piece itself. 'xs' ascends; as many 'ys', at least two; x lies within xs.
[[nodiscard]] double monotone_between(std::span<const double> xs, std::span<const double> ys, double x);

}  // namespace plumbmark::study
