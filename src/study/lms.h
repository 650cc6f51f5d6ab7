// A measure that is spread askew among people, as growth charts give it: the median M, the coefficient of
// variation S and the power L by which it becomes normal (T. J. Cole and P. J. Green, Stat. Med. 11 (1992)
// 1305-1319; G. E. P. Box and D. R. Cox, J. R. Stat. Soc. B 26 (1964) 211-252):
//
//     x = M (1 + L S z)^(1/L),  and M exp(S z) where L is 0
//
// L = 1 is the normal distribution with mean M and standard deviation M S. Pure; any thread.
#pragma once

#include <optional>

namespace plumbmark::study {

struct Lms {
    double l = 1;
    double m = 0;  ///< > 0, in any unit
    double s = 0;  ///< > 0
    friend bool operator==(const Lms&, const Lms&) = default;
};

/// mean > 0, standard > 0.
[[nodiscard]] Lms lms_of_normal(double mean, double standard);

/// The measure at a standard deviation score. Nothing where the model has none there: 1 + L S z <= 0.
[[nodiscard]] std::optional<double> lms_at_z(const Lms& lms, double z);
/// The score of a measure x > 0.
[[nodiscard]] double lms_z(const Lms& lms, double x);

/// The measure below which this share lies, 0 < share < 1. Nothing as above.
[[nodiscard]] std::optional<double> lms_at_share(const Lms& lms, double share);
/// The share below a measure x > 0.
[[nodiscard]] double lms_share_below(const Lms& lms, double x);

/// The only L, M and S with these percentiles: there is one for any three that ascend. Nothing unless
/// 0 < p5 < p50 < p95, or where they are so far askew that |L| would be above 100. How well L is known hangs
/// on the digits: percentiles of 1.4 m rounded to a millimetre leave it open by some 0.2.
[[nodiscard]] std::optional<Lms> lms_through(double p5, double p50, double p95);

}  // namespace plumbmark::study
