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

/// How the reviews of a range of seeds are mixed: how often, in percent, something is so.
struct Mix {
    int smooth = 64;          ///< the athlete mostly does what the station asks
    int careful = 66;         ///< the reviewer mostly marks it all, tightly and without doubt
    int careful_costly = 82;  ///< the same, of reviews with lengths of time or two clips
    int unwatched = 26;       ///< something of the clip is not watched
    int every_counts = 40;    ///< the format is 'every station counts'
    int one_station = 45;     ///< the course is one station long
    int free_exit = 30;
    int attempts = 14;     ///< a station has more than one
    int shared_roles = 6;  ///< a start or landing surface is an item as well
};
/// Most reviews as officials write them.
inline constexpr Mix kUsual{};
/// Most stations fail and much is not watched: more of what is hard, and slower to enumerate.
inline constexpr Mix kRough{30, 20, 30, 75, 85, 20, 50, 35, 25};

[[nodiscard]] course::CourseBook random_book(Dice& dice, const Mix& mix, std::int64_t unit_ns, bool timed,
                                             int most_stations);
/// The same review from the same seed and mix on every machine.
[[nodiscard]] Case random_case(std::uint64_t seed, const Mix& mix = kUsual);

}  // namespace plumbmark::oracle
