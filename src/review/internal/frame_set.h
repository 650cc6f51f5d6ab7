// A set of frame numbers kept as stretches: which frames were really on the screen.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <vector>

namespace plumbmark::review {

class FrameSet {
  public:
    void add(std::int64_t frame);
    /// How many of the frames from 'first' to 'last' (both counted) are not in the set.
    [[nodiscard]] std::int64_t missing(std::int64_t first, std::int64_t last) const;
    /// Ascending stretches [first, last], no two of them touching.
    [[nodiscard]] std::vector<std::array<std::int64_t, 2>> stretches() const;

  private:
    std::map<std::int64_t, std::int64_t> last_by_first_;
};

}  // namespace plumbmark::review
