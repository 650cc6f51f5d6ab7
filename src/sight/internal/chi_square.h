// The chi-square distribution.
#pragma once

namespace plumbmark::sight {

/// The value below which a chi-square with 'degrees' >= 1 lies at this probability, 0 < probability < 1.
[[nodiscard]] double chi_square_quantile(double probability, int degrees);

}  // namespace plumbmark::sight
