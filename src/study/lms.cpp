#include "study/lms.h"

#include <cmath>

#include "study/internal/distributions.h"

namespace plumbmark::study {
namespace {

constexpr double kFarthestL = 100;

/// (e^(l u) - 1) / l, which is u where l is 0: a logarithm u under the power l.
double powered(double u, double l) {
    return l == 0 ? u : std::expm1(l * u) / l;
}

}  // namespace

Lms lms_of_normal(double mean, double standard) {
    return {1, mean, standard / mean};
}

std::optional<double> lms_at_z(const Lms& lms, double z) {
    const double grown = lms.l * lms.s * z;
    if (!(1 + grown > 0)) return std::nullopt;
    return lms.m * std::exp(lms.l == 0 ? lms.s * z : std::log1p(grown) / lms.l);
}

double lms_z(const Lms& lms, double x) {
    return powered(std::log(x / lms.m), lms.l) / lms.s;
}

std::optional<double> lms_at_share(const Lms& lms, double share) {
    return lms_at_z(lms, normal_quantile(share));
}

double lms_share_below(const Lms& lms, double x) {
    return normal_below(lms_z(lms, x));
}

std::optional<Lms> lms_through(double p5, double p50, double p95) {
    if (!(p5 > 0 && p5 < p50 && p50 < p95 && std::isfinite(p95))) return std::nullopt;
    const double below = std::log(p5 / p50);
    const double above = std::log(p95 / p50);
    // Both percentiles are as far from 0 in score. This sum is 0 there and grows with l.
    const auto askew = [&](double l) { return powered(above, l) + powered(below, l); };
    double low = -kFarthestL;
    double high = kFarthestL;
    if (askew(low) > 0 || askew(high) < 0) return std::nullopt;
    for (double middle = 0; middle > low && middle < high; middle = low + (high - low) / 2)
        (askew(middle) < 0 ? low : high) = middle;
    return Lms{high, p50, powered(above, high) / normal_quantile(0.95)};
}

}  // namespace plumbmark::study
