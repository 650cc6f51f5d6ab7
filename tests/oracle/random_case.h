// Random small reviews, made by telling a story (an athlete sets off, swings, lands, or slips) and then
// marking what a reviewer might mark of it: brackets around the true moments, some marks left out or in
// doubt, some stretches watched. So most reviews have a world, and clear, fail and not shown all come up.
#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "oracle/worlds.h"

namespace plumbmark::oracle {

/// The same numbers from the same seed on every machine: the standard's distributions would not promise that.
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    /// 0 to n - 1.
    [[nodiscard]] int below(int n) { return static_cast<int>(engine_() % static_cast<std::uint64_t>(n)); }
    [[nodiscard]] bool percent(int p) { return below(100) < p; }
    template <class T>
    [[nodiscard]] const T& of(const std::vector<T>& all) {
        return all[static_cast<std::size_t>(below(static_cast<int>(all.size())))];
    }

  private:
    std::mt19937_64 engine_;
};

[[nodiscard]] course::CourseBook random_book(Dice& dice, std::int64_t unit_ns, bool timed, int most_stations);
[[nodiscard]] Case random_case(std::uint64_t seed);

}  // namespace plumbmark::oracle
