// Random numbers for the trials: the same for the same seed on every machine. Shares no code with the draws
// of src/sight, which they are to judge.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>

namespace plumbmark::trials {

class Dice {
  public:
    explicit Dice(std::uint64_t seed) : engine_(mixed(seed)) {}

    double even(double low, double high) {
        return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1p-53);
    }
    bool chance(double probability) { return even(0, 1) < probability; }
    /// 0 .. n - 1
    std::size_t pick(std::size_t n) {
        return std::min(n - 1, static_cast<std::size_t>(even(0, static_cast<double>(n))));
    }
    /// As likely within any factor as within any other: for sizes.
    double any_size(double low, double high) { return low * std::exp(even(0, std::log(high / low))); }
    /// G. E. P. Box and M. E. Muller 1958.
    double normal(double standard) {
        const double size = std::sqrt(-2 * std::log(1 - even(0, 1)));
        return standard * size * std::cos(2 * kPi * even(0, 1));
    }
    /// Student's t of four degrees, scaled so that its standard deviation is this.
    double heavy(double standard) {
        double square = 0;
        for (int i = 0; i < 4; ++i)
            square += std::pow(normal(1), 2);
        return standard * normal(1) / std::sqrt(square / 4) / std::sqrt(2.0);
    }

    static constexpr double kPi = 3.14159265358979323846;

  private:
    /// Neighbouring seeds apart (S. Vigna's splitmix64, 2015).
    static std::uint64_t mixed(std::uint64_t seed) {
        std::uint64_t z = seed + 0x9E3779B97F4A7C15U;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
        return z ^ (z >> 31);
    }
    std::mt19937_64 engine_;
};

}  // namespace plumbmark::trials
