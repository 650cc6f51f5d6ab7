// The distributions that the figures of this module rest on. Pure; any thread; nothing is thrown.
#pragma once

namespace plumbmark::study {

/// The share of the standard normal distribution below z. Never NaN for a number.
[[nodiscard]] double normal_below(double z);

/// The z below which this share of it lies, 0 < share < 1.
[[nodiscard]] double normal_quantile(double share);

/// The z of a two-sided interval, 0 < confidence < 1: 1.96 of 0.95.
[[nodiscard]] double two_sided_z(double confidence);

/// The value below which a beta distribution has this share, a > 0, b > 0, 0 < share < 1.
[[nodiscard]] double beta_quantile(double a, double b, double share);

/// The value above which it has this share: exact also where the share is small.
[[nodiscard]] double beta_quantile_above(double a, double b, double share);

}  // namespace plumbmark::study
