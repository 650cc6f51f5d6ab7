// What the device's thread does: hand out the sound that belongs to the picture, and keep the two together.
#pragma once

#include <atomic>
#include <cstdint>

#include "base/time.h"
#include "media/internal/sound_window.h"

namespace plumbmark::media {

/// Where the picture is; set by the owner, read by the device's thread.
struct SoundAim {
    std::atomic<bool> on{false};             ///< playing, and not muted
    std::atomic<std::int64_t> offset_ns{0};  ///< clip's clock minus the steady clock
    std::atomic<std::int64_t> until_ns{0};   ///< on the clip's clock: silence behind it
};

/// The limits that SoundPlayer states.
struct SoundLimits {
    static constexpr std::int64_t jump_ns = 40'000'000, correct_ns = 5'000'000, agree_ns = 1'000'000;
    static constexpr std::int64_t patience_ns = 250'000'000;
    static constexpr double correction = 0.005;
    static constexpr double fade_seconds = 0.005;
};

/// fill() belongs to the device's thread: no lock, no memory, no waiting. Counters may be read by anybody.
class SoundFollower {
  public:
    /// Before the device starts.
    void begin(SoundWindow* window, int rate) {
        window_ = window;
        rate_ = rate;
        gain_ = 0;
        placed_ = false;
    }
    /// 'heard_ns': when the first frame will be heard, on the steady clock.
    void fill(float* pairs, int frames, std::int64_t heard_ns, const SoundAim& aim);

    std::atomic<std::int64_t> jumps{0}, played{0}, missing{0};

  private:
    [[nodiscard]] double speed(double error);
    void write(float* pair);

    SoundWindow* window_ = nullptr;
    int rate_ = 48000;
    double cursor_ = 0;  ///< place in the window that comes next
    float gain_ = 0;
    bool placed_ = false, correcting_ = false;
};

}  // namespace plumbmark::media
