// What a result is worth when what it rests on is not known exactly: the law of propagation (JCGM 100:2008,
// 'Guide to the expression of uncertainty in measurement') and, beside it, the propagation of distributions
// by the Monte Carlo method (JCGM 101:2008), which holds the first to account. Values; any thread. The same
// seed gives the same draws on every machine.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

namespace plumbmark::sight {

/// How what is known of a quantity is spread about its value.
enum class Shape {
    normal,
    rectangular,  ///< surely within value +- half, nothing said of where: a tape's tolerance (JCGM
                  ///< 100, 4.3.7)
    triangular,   ///< within value +- half, rather near the middle
    arcsine,      ///< within value +- half, rather near the ends: swings to and fro
};

struct Quantity {
    double value = 0;
    double standard = 0;  ///< standard deviation; of a rectangular one half its width over the root of 3
    Shape shape = Shape::normal;
};
/// Within value +- half.
[[nodiscard]] Quantity within(double value, double half, Shape shape = Shape::rectangular);

/// Quantities and how they go together: covariance[i][j] by rows, for i != j; empty where they are
/// independent. What covaries is drawn as normal. The diagonal is not looked at: 'standard' says it.
struct Quantities {
    std::vector<Quantity> each;
    std::vector<double> covariance;
};

/// Results of a measurement, several at once; each call must give as many. Nothing: the result is not defined
/// there, as where a ray does not meet a plane.
using Model = std::function<std::optional<std::vector<double>>(const std::vector<double>&)>;

struct FirstOrder {
    std::vector<double> values;
    std::vector<double> covariance;  ///< of the results, by rows
    /// by_each[i * results + k]: how many units result k changes for each of quantity i
    std::vector<double> sensitivity;
    [[nodiscard]] double standard(std::size_t k) const;
};
/// By central differences of a thousandth of a standard deviation, refined once (L. F. Richardson 1911).
/// Nothing where the model is not defined at the values or next to them.
[[nodiscard]] std::optional<FirstOrder> first_order(const Model& model, const Quantities& quantities);

/// What came of the draws, result by result in ascending order.
class Drawn {
  public:
    Drawn(std::vector<std::vector<double>> sorted, std::int64_t undefined);
    [[nodiscard]] double mean(std::size_t k) const;
    [[nodiscard]] double standard(std::size_t k) const;
    struct Interval {
        double low = 0, high = 0;
    };
    /// As many draws below as above (JCGM 101, 7.7). 0 < probability < 1.
    [[nodiscard]] Interval interval(std::size_t k, double probability) const;
    /// The shortest that holds as many.
    [[nodiscard]] Interval shortest(std::size_t k, double probability) const;
    /// Share of the draws below a limit.
    [[nodiscard]] double below(std::size_t k, double limit) const;
    [[nodiscard]] std::int64_t draws() const;
    /// Draws at which the model was not defined; none of the figures count them.
    [[nodiscard]] std::int64_t undefined() const { return undefined_; }

  private:
    std::vector<std::vector<double>> sorted_;
    std::int64_t undefined_;
};
/// 'draws' >= 1. Numbers of G. Marsaglia's and W. W. Tsang's kind are left to no library: normal ones come of
/// the polar method (G. Marsaglia and T. A. Bray 1964) on mt19937_64, which is the same everywhere.
[[nodiscard]] Drawn draw(const Model& model, const Quantities& quantities, int draws, std::uint64_t seed);

/// Whether the law of propagation may be used for result k at this probability (JCGM 101, 8.1): both ends of
/// its interval lie within half of the last of two significant digits of its standard deviation of those of
/// the draws.
[[nodiscard]] bool agree(const FirstOrder& law, const Drawn& drawn, std::size_t k, double probability);

/// The factor by which a normal standard deviation is multiplied for an interval of this probability: 1.96 of
/// 0.95.
[[nodiscard]] double coverage_factor(double probability);

}  // namespace plumbmark::sight
