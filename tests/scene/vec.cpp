#include "vec.h"

#include <bit>

namespace plumbmark::scene {
namespace {

// pi/2 in two parts (Cody & Waite 1980), so that reduction loses nothing for arguments of some thousand
// turns.
constexpr double kHalfPiHigh = 1.57079632673412561417e+00;
constexpr double kHalfPiLow = 6.07710050650619224932e-11;

double sine_series(double x) {
    const double s = x * x;
    double sum = 0;
    for (int k = 17; k >= 3; k -= 2)
        sum = (1 + sum) * (-s / ((k - 1) * k));
    return x + x * sum;
}

double cosine_series(double x) {
    const double s = x * x;
    double sum = 0;
    for (int k = 18; k >= 2; k -= 2)
        sum = (1 + sum) * (-s / ((k - 1) * k));
    return 1 + sum;
}

double quarter_turns(double x, std::int64_t& quarter) {
    quarter = static_cast<std::int64_t>(x / (kPi / 2) + (x < 0 ? -0.5 : 0.5));
    const auto n = static_cast<double>(quarter);
    return (x - n * kHalfPiHigh) - n * kHalfPiLow;
}

}  // namespace

double sine(double x) {
    std::int64_t quarter = 0;
    const double r = quarter_turns(x, quarter);
    switch (quarter & 3) {
        case 0:
            return sine_series(r);
        case 1:
            return cosine_series(r);
        case 2:
            return -sine_series(r);
        default:
            return -cosine_series(r);
    }
}

double cosine(double x) {
    std::int64_t quarter = 0;
    const double r = quarter_turns(x, quarter);
    switch (quarter & 3) {
        case 0:
            return cosine_series(r);
        case 1:
            return -sine_series(r);
        case 2:
            return -cosine_series(r);
        default:
            return sine_series(r);
    }
}

double angle_of(double y, double x) {
    const double ax = std::fabs(x);
    const double ay = std::fabs(y);
    if (ax == 0 && ay == 0) return 0;
    double ratio = ay < ax ? ay / ax : ax / ay;
    // Halving the angle three times leaves at most pi/32, where the series is short.
    for (int i = 0; i < 3; ++i)
        ratio = ratio / (1 + std::sqrt(1 + ratio * ratio));
    const double s = ratio * ratio;
    double sum = 0;
    for (int k = 13; k >= 0; --k)
        sum = 1.0 / (2 * k + 1) - s * sum;
    double angle = 8 * ratio * sum;
    if (ay >= ax) angle = kPi / 2 - angle;
    if (x < 0) angle = kPi - angle;
    return y < 0 ? -angle : angle;
}

double exponential(double x) {
    constexpr double kLog2High = 6.93147180369123816490e-01;
    constexpr double kLog2Low = 1.90821492927058770002e-10;
    const auto k = static_cast<std::int64_t>(x * 1.44269504088896338700 + (x < 0 ? -0.5 : 0.5));
    const auto n = static_cast<double>(k);
    const double r = (x - n * kLog2High) - n * kLog2Low;
    double sum = 1;
    for (int i = 16; i >= 1; --i)
        sum = 1 + sum * r / i;
    return sum * std::bit_cast<double>(static_cast<std::uint64_t>(k + 1023) << 52);
}

double logarithm(double x) {
    auto bits = std::bit_cast<std::uint64_t>(x);
    auto exponent = static_cast<std::int64_t>((bits >> 52) & 0x7FF) - 1023;
    double m = std::bit_cast<double>((bits & 0xFFFFFFFFFFFFFU) | 0x3FF0000000000000U);
    if (m > 1.41421356237309505) {
        m *= 0.5;
        ++exponent;
    }
    const double u = (m - 1) / (m + 1);
    const double s = u * u;
    double sum = 0;
    for (int k = 12; k >= 0; --k)
        sum = 1.0 / (2 * k + 1) + s * sum;
    return 2 * u * sum + static_cast<double>(exponent) * 0.693147180559945309417;
}

double power(double x, double y) {
    return x <= 0 ? 0 : exponential(y * logarithm(x));
}

double value_noise(double x, double y, std::uint32_t seed) {
    const double fx = std::floor(x);
    const double fy = std::floor(y);
    const auto lattice = [&](int dx, int dy) {
        const auto ix = static_cast<std::uint32_t>(static_cast<std::int64_t>(fx) + dx);
        const auto iy = static_cast<std::uint32_t>(static_cast<std::int64_t>(fy) + dy);
        return hash_unit((std::uint64_t{ix} << 32 | iy) ^ (std::uint64_t{seed} * 0x9E3779B97F4A7C15U));
    };
    const double u = smooth(0, 1, x - fx);
    const double v = smooth(0, 1, y - fy);
    return mix(mix(lattice(0, 0), lattice(1, 0), u), mix(lattice(0, 1), lattice(1, 1), u), v);
}

}  // namespace plumbmark::scene
