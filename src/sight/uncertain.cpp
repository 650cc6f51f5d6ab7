#include "sight/uncertain.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <utility>

namespace plumbmark::sight {
namespace {

using Numbers = std::vector<double>;

/// mt19937_64 is the same everywhere (ISO/IEC 14882, 28.5.6); the library's distributions are not.
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    /// In [0, 1), 53 bits.
    double even() { return static_cast<double>(engine_() >> 11) * 0x1p-53; }
    double normal() {
        if (kept_) return *std::exchange(kept_, std::nullopt);
        double x = 0, y = 0, square = 0;
        do {
            x = 2 * even() - 1;
            y = 2 * even() - 1;
            square = x * x + y * y;
        } while (square >= 1 || square == 0);
        const double size = std::sqrt(-2 * std::log(square) / square);
        kept_ = y * size;
        return x * size;
    }
    /// Of mean none and standard deviation 1.
    double of(Shape shape) {
        switch (shape) {
            case Shape::normal:
                return normal();
            case Shape::rectangular:
                return std::sqrt(3.0) * (2 * even() - 1);
            case Shape::triangular:
                return std::sqrt(6.0) * (even() + even() - 1);
            case Shape::arcsine:
                return std::sqrt(2.0) * std::sin(2 * 3.14159265358979323846 * even());
        }
        return 0;
    }

  private:
    std::mt19937_64 engine_;
    std::optional<double> kept_;
};

/// Lower triangle L with L L' = covariance, by rows; a direction without spread has a row of none.
Numbers root_of(const Numbers& covariance, std::size_t n) {
    Numbers lower(n * n);
    for (std::size_t j = 0; j < n; ++j) {
        double pivot = covariance[j * n + j];
        for (std::size_t k = 0; k < j; ++k)
            pivot -= lower[j * n + k] * lower[j * n + k];
        if (!(pivot > 1e-14 * covariance[j * n + j])) continue;
        lower[j * n + j] = std::sqrt(pivot);
        for (std::size_t i = j + 1; i < n; ++i) {
            double sum = covariance[i * n + j];
            for (std::size_t k = 0; k < j; ++k)
                sum -= lower[i * n + k] * lower[j * n + k];
            lower[i * n + j] = sum / lower[j * n + j];
        }
    }
    return lower;
}

/// Those of the quantities that covary with another, and the covariance of these.
struct Together {
    std::vector<std::size_t> which;
    Numbers covariance;
};

Together together_of(const Quantities& quantities) {
    Together out;
    const std::size_t n = quantities.each.size();
    if (quantities.covariance.empty()) return out;
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j)
            if (i != j && quantities.covariance[i * n + j] != 0) {
                out.which.push_back(i);
                break;
            }
    for (const std::size_t i : out.which)
        for (const std::size_t j : out.which) {
            const double own = quantities.each[i].standard;
            out.covariance.push_back(i == j ? own * own : quantities.covariance[i * n + j]);
        }
    return out;
}

double covariance_of(const Quantities& quantities, std::size_t i, std::size_t j) {
    const double own = quantities.each[i].standard;
    if (i == j) return own * own;
    return quantities.covariance.empty() ? 0 : quantities.covariance[i * quantities.each.size() + j];
}

Numbers values_of(const Quantities& quantities) {
    Numbers values;
    for (const Quantity& one : quantities.each)
        values.push_back(one.value);
    return values;
}

/// The results' change for one of quantity i, by central differences.
std::optional<Numbers> slope(const Model& model, Numbers at, std::size_t i, double step) {
    const double here = at[i];
    at[i] = here + step;
    const auto above = model(at);
    at[i] = here - step;
    const auto below = model(at);
    if (!above || !below) return std::nullopt;
    Numbers out;
    for (std::size_t k = 0; k < above->size(); ++k)
        out.push_back(((*above)[k] - (*below)[k]) / (2 * step));
    return out;
}

}  // namespace

Quantity within(double value, double half, Shape shape) {
    const double divisor = shape == Shape::triangular ? 6
                           : shape == Shape::arcsine  ? 2
                           : shape == Shape::normal   ? 4
                                                      : 3;
    return {value, half / std::sqrt(divisor), shape};
}

double FirstOrder::standard(std::size_t k) const {
    return std::sqrt(std::max(0.0, covariance[k * values.size() + k]));
}

std::optional<FirstOrder> first_order(const Model& model, const Quantities& quantities) {
    const Numbers at = values_of(quantities);
    auto here = model(at);
    if (!here) return std::nullopt;
    FirstOrder out;
    out.values = std::move(*here);
    const std::size_t n = at.size(), results = out.values.size();
    out.sensitivity.assign(n * results, 0);
    for (std::size_t i = 0; i < n; ++i) {
        const double standard = quantities.each[i].standard;
        if (!(standard > 0)) continue;
        const auto wide = slope(model, at, i, 2e-3 * standard), narrow = slope(model, at, i, 1e-3 * standard);
        if (!wide || !narrow) return std::nullopt;
        for (std::size_t k = 0; k < results; ++k)
            out.sensitivity[i * results + k] = (4 * (*narrow)[k] - (*wide)[k]) / 3;
    }
    out.covariance.assign(results * results, 0);
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j) {
            const double both = covariance_of(quantities, i, j);
            if (both == 0) continue;
            for (std::size_t k = 0; k < results; ++k)
                for (std::size_t l = 0; l < results; ++l)
                    out.covariance[k * results + l] +=
                        out.sensitivity[i * results + k] * both * out.sensitivity[j * results + l];
        }
    return out;
}

Drawn::Drawn(std::vector<Numbers> sorted, std::int64_t undefined)
    : sorted_(std::move(sorted)), undefined_(undefined) {
    for (Numbers& one : sorted_)
        std::sort(one.begin(), one.end());
}

double Drawn::mean(std::size_t k) const {
    const Numbers& all = sorted_[k];
    return std::accumulate(all.begin(), all.end(), 0.0) / static_cast<double>(all.size());
}

double Drawn::standard(std::size_t k) const {
    const double middle = mean(k);
    double sum = 0;
    for (const double one : sorted_[k])
        sum += (one - middle) * (one - middle);
    return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(1, sorted_[k].size() - 1)));
}

Drawn::Interval Drawn::interval(std::size_t k, double probability) const {
    const Numbers& all = sorted_[k];
    const auto last = static_cast<double>(all.size() - 1);
    const auto at = [&](double share) { return all[static_cast<std::size_t>(std::lround(share * last))]; };
    return {at((1 - probability) / 2), at((1 + probability) / 2)};
}

Drawn::Interval Drawn::shortest(std::size_t k, double probability) const {
    const Numbers& all = sorted_[k];
    const auto inside =
        static_cast<std::size_t>(std::lround(probability * static_cast<double>(all.size() - 1)));
    std::size_t best = 0;
    for (std::size_t from = 0; from + inside < all.size(); ++from)
        if (all[from + inside] - all[from] < all[best + inside] - all[best]) best = from;
    return {all[best], all[best + inside]};
}

double Drawn::below(std::size_t k, double limit) const {
    const Numbers& all = sorted_[k];
    const auto end = std::lower_bound(all.begin(), all.end(), limit);
    return static_cast<double>(end - all.begin()) / static_cast<double>(all.size());
}

std::int64_t Drawn::draws() const {
    return sorted_.empty() ? 0 : static_cast<std::int64_t>(sorted_.front().size());
}

Drawn draw(const Model& model, const Quantities& quantities, int draws, std::uint64_t seed) {
    Dice dice(seed);
    const Numbers middle = values_of(quantities);
    const Together together = together_of(quantities);
    const std::size_t m = together.which.size();
    const Numbers root = root_of(together.covariance, m);
    std::vector<Numbers> results;
    std::int64_t undefined = 0;
    Numbers fresh(m), at;
    for (int n = 0; n < draws; ++n) {
        at = middle;
        for (std::size_t i = 0; i < at.size(); ++i)
            if (std::find(together.which.begin(), together.which.end(), i) == together.which.end())
                at[i] += quantities.each[i].standard * dice.of(quantities.each[i].shape);
        for (double& one : fresh)
            one = dice.normal();
        for (std::size_t i = 0; i < m; ++i)
            for (std::size_t j = 0; j <= i; ++j)
                at[together.which[i]] += root[i * m + j] * fresh[j];
        const auto result = model(at);
        if (!result) {
            ++undefined;
            continue;
        }
        results.resize(result->size());
        for (std::size_t k = 0; k < result->size(); ++k)
            results[k].push_back((*result)[k]);
    }
    return {std::move(results), undefined};
}

double coverage_factor(double probability) {
    // The normal distribution's quantile by Newton's method on the C library's erfc.
    const double wanted = 1 - probability;
    double z = 2;
    for (int i = 0; i < 60; ++i) {
        const double slope = -std::sqrt(2 / 3.14159265358979323846) * std::exp(-z * z / 2);
        const double next = z - (std::erfc(z / std::sqrt(2.0)) - wanted) / slope;
        z = std::clamp(next, z - 1, z + 1);
    }
    return z;
}

bool agree(const FirstOrder& law, const Drawn& drawn, std::size_t k, double probability) {
    const double standard = law.standard(k);
    if (!(standard > 0) || drawn.draws() < 2) return false;
    // Two significant digits of the standard deviation, c * 10^e with 10 <= c < 100: half of 10^e.
    const double tolerance = 0.5 * std::pow(10.0, std::floor(std::log10(standard)) - 1);
    const double half = coverage_factor(probability) * standard;
    const Drawn::Interval other = drawn.interval(k, probability);
    return std::abs(law.values[k] - half - other.low) <= tolerance &&
           std::abs(law.values[k] + half - other.high) <= tolerance;
}

}  // namespace plumbmark::sight
