// A person who presses a key at a steady pace, on media::FrameService.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <vector>

#include "base/result.h"
#include "clip.h"
#include "media/frame_service.h"

namespace plumbmark::bench {

/// Turns the wake-ups of a service into something that can be waited for. Any thread.
class Bell {
  public:
    void ring() {
        {
            std::lock_guard lock(mutex_);
            rung_ = true;
        }
        heard_.notify_all();
    }
    /// True when it rang since the last call, or rings before 'until'.
    bool wait(std::chrono::steady_clock::time_point until) {
        std::unique_lock lock(mutex_);
        const bool rung = heard_.wait_until(lock, until, [&] { return rung_; });
        rung_ = false;
        return rung;
    }

  private:
    std::mutex mutex_;
    std::condition_variable heard_;
    bool rung_ = false;
};

struct Walk {
    std::vector<double>
        latencies;        ///< ms from each scheduled press until poll() shows its frame or a later one's
    int passed_over = 0;  ///< presses whose own frame was never shown
    std::int64_t resident_before = 0;  ///< bytes of the process before the service was made
    std::int64_t resident_peak = 0;
    std::size_t kept_peak = 0;  ///< bytes of pictures that the store says it keeps
    std::size_t used_peak = 0;  ///< bytes that the store says it uses in all
    std::size_t budget = 0;     ///< bytes that the store may use
};

struct WalkPlan {
    std::int64_t start = 0;  ///< frame that stands for half a second before the first press
    int direction = -1;
    int presses = 0;
    double period = 0.1;  ///< seconds from press to press
};

/// Waits up to a minute until the newest request has its answer. Errors: that of the answer; io when none
/// comes.
[[nodiscard]] base::Result<void> wait_settled(const media::FrameService& service, Bell& bell);

/// Opens a new service on the clip with its table, and a store as the window has it, and walks. Errors: those
/// of the service.
[[nodiscard]] base::Result<Walk> walk(const Clip& clip, const WalkPlan& plan);

}  // namespace plumbmark::bench
