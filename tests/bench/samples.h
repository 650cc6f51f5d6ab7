// Measured values and what is said of them.
#pragma once

#include <chrono>
#include <cstdint>
#include <vector>

namespace plumbmark::bench {

/// Which end of a figure's scale is the good one.
enum class Better { less, more };

/// The q-th quantile (0 to 1) by the nearest-rank method: the smallest value that at least a share q of all
/// values does not exceed. 0 when there are none.
[[nodiscard]] double quantile(std::vector<double> values, double q);

[[nodiscard]] double median(const std::vector<double>& values);

/// What 95 of 100 values are at least as good as.
[[nodiscard]] double worst_twentieth(const std::vector<double>& values, Better better);

/// Runs from its making, on the steady clock.
class Stopwatch {
  public:
    [[nodiscard]] double milliseconds() const {
        return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin_).count();
    }

  private:
    std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
};

}  // namespace plumbmark::bench
