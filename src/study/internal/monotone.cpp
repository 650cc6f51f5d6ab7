#include "study/internal/monotone.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace plumbmark::study {
namespace {

/// The slope at an inner point: the harmonic mean of those of the pieces beside it, weighted by their
/// lengths.
double slope_between(double left, double right, double left_length, double right_length) {
    if (left * right <= 0) return 0;
    const double alpha = (left_length + 2 * right_length) / (3 * (left_length + right_length));
    return left * right / (alpha * right + (1 - alpha) * left);
}

/// The slope at an end, of the parabola through three points, but not against the end piece.
double slope_at_end(double own, double next, double own_length, double next_length) {
    const double slope =
        ((2 * own_length + next_length) * own - own_length * next) / (own_length + next_length);
    if (slope * own <= 0) return 0;
    return own * next <= 0 && std::abs(slope) > 3 * std::abs(own) ? 3 * own : slope;
}

}  // namespace

double monotone_between(std::span<const double> xs, std::span<const double> ys, double x) {
    PLUMBMARK_CHECK(xs.size() >= 3 && xs.size() == ys.size() && xs.front() <= x && x <= xs.back());
    const auto after = static_cast<std::size_t>(std::upper_bound(xs.begin(), xs.end(), x) - xs.begin());
    const std::size_t i = std::min(after, xs.size() - 1) - 1;
    const auto length = [&](std::size_t k) { return xs[k + 1] - xs[k]; };
    const auto rise = [&](std::size_t k) { return (ys[k + 1] - ys[k]) / length(k); };
    const auto slope = [&](std::size_t k) {
        const std::size_t last = xs.size() - 1;
        if (k == 0) return slope_at_end(rise(0), rise(1), length(0), length(1));
        if (k == last)
            return slope_at_end(rise(last - 1), rise(last - 2), length(last - 1), length(last - 2));
        return slope_between(rise(k - 1), rise(k), length(k - 1), length(k));
    };
    const double h = length(i);
    const double t = (x - xs[i]) / h;
    // Cubic Hermite, by how far it leaves the straight line: exact at both ends.
    const double straight = ys[i] + t * (ys[i + 1] - ys[i]);
    return straight + t * (1 - t) * h * ((1 - t) * (slope(i) - rise(i)) - t * (slope(i + 1) - rise(i)));
}

}  // namespace plumbmark::study
