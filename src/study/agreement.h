// How far two raters agree: over categories, beyond what chance would give (Cohen's kappa), and over moments.
// Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "study/interval.h"

namespace plumbmark::study {

/// counts[i][j]: how many things the first rater put into category i and the second into category j; square,
/// the same categories in the same order.
using RatingTable = std::vector<std::vector<std::int64_t>>;

/// How much it counts that two ratings lie 'd' categories apart, of k.
enum class Weights {
    none,       ///< 1 where d = 0, else 0: the categories have no order
    linear,     ///< 1 - d / (k - 1)
    quadratic,  ///< 1 - (d / (k - 1))^2
};

struct Kappa {
    std::int64_t rated = 0;  ///< things
    double confidence = 0;   ///< of the interval
    /// Both nothing where nothing was rated.
    std::optional<double> agreement;  ///< the share of agreement, weighted
    std::optional<double> by_chance;  ///< what raters with these shares of categories would have by chance
    /// (agreement - by_chance) / (1 - by_chance); J. Cohen, Educ. Psychol. Meas. 20 (1960) 37-46, weighted
    /// Psychol. Bull. 70 (1968) 213-220. Nothing where nothing was rated, or where chance alone agrees always
    /// (both raters used one same category for everything): then it is undefined, not 1.
    std::optional<double> kappa;
    /// Asymptotic, of J. L. Fleiss, J. Cohen and B. S. Everitt, Psychol. Bull. 72 (1969) 323-327: for many
    /// things rated. 0 where all agree. With kappa.
    std::optional<double> error;
    /// kappa -+ the factor of the confidence times error, cut at -1 and 1. With kappa.
    std::optional<Interval> interval;
    /// The error of the same paper if kappa were 0, and kappa over it: to be held against a normal deviate.
    /// Nothing where these shares of categories leave chance no room, as when one rater used one category
    /// only.
    std::optional<double> error_at_zero, z;
};
/// Errors: bad_input where the table is empty, not square, has a negative count or more than 10^9 things, or
/// where the confidence is not between 0 and 1.
[[nodiscard]] base::Result<Kappa> kappa(const RatingTable& counts, Weights weights, double confidence);

/// One thing's moment by each of two raters, or of two cameras, or of a rater twice: in nanoseconds of one
/// clock, or in numbers of frames of one clip. Absent where a rater did not mark it. Each lies within +-2^61.
struct MomentPair {
    std::optional<std::int64_t> first, second;
};

/// Differences are second - first, in the unit of the moments.
struct MomentAgreement {
    std::int64_t paired = 0;  ///< what the figures are of
    /// What only one of the two marked, or neither: counted here and in no figure.
    std::int64_t only_first = 0, only_second = 0, neither = 0;
    std::optional<double> median, mean;  ///< nothing without a pair
    std::int64_t within = 0;             ///< pairs that differ by 'tolerance' at most
    std::optional<double> share_within;  ///< of the pairs; nothing without one
    /// Of the differences, over n - 1. Nothing with fewer than two pairs, as all that follows.
    std::optional<double> standard;
    /// Mean -+ 1.96 standard deviations, between which 95 % of differences lie where they are normal: the
    /// limits of agreement of J. M. Bland and D. G. Altman, Lancet 327 (1986) 307-310, who round the factor
    /// to 2.
    std::optional<Interval> limits;
    /// The standard error of each limit, sqrt(3 s^2 / n) in that paper: how little few pairs say.
    std::optional<double> limit_error;
};
/// tolerance >= 0.
[[nodiscard]] MomentAgreement agreement_of_moments(const std::vector<MomentPair>& pairs,
                                                   std::int64_t tolerance);

/// The tolerance in nanoseconds for two moments of frames of one clip that lie 'frames' >= 0 apart: rounded
/// up, since each frame's time is rounded down (base/time.h). 'frame_seconds' is a frame's length, positive.
/// Stops the program where it does not fit 64 bits.
[[nodiscard]] std::int64_t frames_as_tolerance(std::int64_t frames, base::Rational frame_seconds);

}  // namespace plumbmark::study
