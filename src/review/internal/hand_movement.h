// Whether the reviewer's hand moves just now: what works in the background then leaves drive and processor to
// it.
#pragma once

#include <atomic>
#include <chrono>

namespace plumbmark::review {

/// Any thread.
class HandMovement {
  public:
    void note() { last_.store(Clock::now(), std::memory_order_relaxed); }
    /// It moved a moment ago, on whichever clip.
    [[nodiscard]] bool recent() const {
        constexpr std::chrono::milliseconds moment{400};
        return Clock::now() - last_.load(std::memory_order_relaxed) < moment;
    }

  private:
    using Clock = std::chrono::steady_clock;
    std::atomic<Clock::time_point> last_{};
};

}  // namespace plumbmark::review
