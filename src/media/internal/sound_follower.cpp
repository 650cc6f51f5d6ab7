#include "media/internal/sound_follower.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace plumbmark::media {

void SoundFollower::fill(float* pairs, int frames, std::int64_t heard_ns, const SoundAim& aim) {
    const std::int64_t wanted_ns = heard_ns + aim.offset_ns.load(std::memory_order_relaxed);
    const bool due =
        aim.on.load(std::memory_order_relaxed) && wanted_ns <= aim.until_ns.load(std::memory_order_relaxed);
    const double wanted = static_cast<double>(wanted_ns) * 1e-9 * rate_;
    const double error = wanted - cursor_;
    const bool astray =
        !placed_ || std::abs(error) > static_cast<double>(SoundLimits::jump_ns) * 1e-9 * rate_;
    bool leaving = !due || astray;
    const double step = leaving ? 1 : speed(error);
    const auto fade = static_cast<float>(1 / (SoundLimits::fade_seconds * rate_));
    std::int64_t there = 0, lacking = 0;
    for (int i = 0; i < frames; ++i) {
        if (leaving && gain_ == 0) {
            if (!due) {
                placed_ = false;
                std::fill(pairs + 2 * i, pairs + 2 * frames, 0.0F);
                break;
            }
            cursor_ = std::round(wanted + i);
            placed_ = true;
            leaving = false;
            jumps.fetch_add(1, std::memory_order_relaxed);
        }
        gain_ = std::clamp(gain_ + (leaving ? -fade : fade), 0.0F, 1.0F);
        const auto place = static_cast<std::int64_t>(std::floor(cursor_));
        ++(place >= window_->begin() && place < window_->end() ? there : lacking);
        write(pairs + 2 * i);
        cursor_ += step;
    }
    played.fetch_add(there, std::memory_order_relaxed);
    missing.fetch_add(lacking, std::memory_order_relaxed);
}

double SoundFollower::speed(double error) {
    const double apart = std::abs(error) / rate_ * 1e9;
    if (apart > static_cast<double>(SoundLimits::correct_ns)) correcting_ = true;
    if (apart < static_cast<double>(SoundLimits::agree_ns)) correcting_ = false;
    if (!correcting_) return 1;
    return error > 0 ? 1 + SoundLimits::correction : 1 - SoundLimits::correction;
}

/// Between samples a cubic through four of them (Catmull and Rom, 'A class of local interpolating splines',
/// 1974); on a sample, that sample.
void SoundFollower::write(float* pair) {
    const double whole = std::floor(cursor_);
    const auto place = static_cast<std::int64_t>(whole);
    const auto t = static_cast<float>(cursor_ - whole);
    const auto here = window_->at(place);
    if (t == 0) {
        pair[0] = gain_ * here[0];
        pair[1] = gain_ * here[1];
        return;
    }
    const auto before = window_->at(place - 1), next = window_->at(place + 1), after = window_->at(place + 2);
    for (std::size_t c = 0; c < 2; ++c) {
        const float a = before[c], b = here[c], d = next[c], e = after[c];
        const float curve =
            b + 0.5F * t * (d - a + t * (2 * a - 5 * b + 4 * d - e + t * (3 * (b - d) + e - a)));
        pair[c] = gain_ * curve;
    }
}

}  // namespace plumbmark::media
