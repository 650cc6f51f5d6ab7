#include "media/internal/whitener.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "media/internal/mono_sound.h"

namespace plumbmark::media {
namespace {

// Below lie hum and wind, above it coders leave out and microphones differ.
constexpr double kLowest = 300, kHighest = 7'500;
constexpr float kStepsPerDouble = 3.0103F / 1.25F;  // steps of the level to twice the power
constexpr float kLowestLevel = -46;                 // log2 of the power, under the last step of 24 bits
// How far above the usual power of a bin something has to be to count: of steady noise itself, whose power is
// spread exponentially, a quarter is.
constexpr float kAboveUsual = 2;

}  // namespace

Whitener::Whitener()
    : window_(kFrame), work_(kFrame), tail_(kHop), spectrum_(fft_.bins()), counts_(fft_.bins() * kSteps) {
    for (std::size_t i = 0; i < kFrame; ++i) {
        // Its square over frames half a frame apart adds up to one.
        window_[i] = static_cast<float>(
            std::sin(std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(kFrame)));
    }
    waiting_.assign(kHop, 0);
}

void Whitener::spectrum_of(std::span<const float> frame) {
    for (std::size_t i = 0; i < kFrame; ++i)
        work_[i] = frame[i] * window_[i];
    fft_.forward(work_, spectrum_);
}

void Whitener::learn(std::span<const float> samples) {
    for (const float sample : samples)
        loudest_ = std::max(loudest_, std::abs(sample));
    waiting_.insert(waiting_.end(), samples.begin(), samples.end());
    std::size_t at = 0;
    for (; at + kFrame <= waiting_.size(); at += kHop) {
        spectrum_of(std::span(waiting_).subspan(at, kFrame));
        learn_frame();
    }
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(at));
}

void Whitener::learn_frame() {
    for (std::size_t k = 0; k < spectrum_.size(); ++k) {
        const float power = std::norm(spectrum_[k]);
        if (power <= 0) continue;  // a gap of the file says nothing of its usual level
        const float step = (std::log2(power) - kLowestLevel) * kStepsPerDouble;
        const int kept = std::clamp(static_cast<int>(step), 0, kSteps - 1);
        ++counts_[k * kSteps + static_cast<std::size_t>(kept)];
    }
}

void Whitener::learned() {
    floor_.assign(spectrum_.size(), -1);
    for (std::size_t k = 0; k < spectrum_.size(); ++k) {
        const double hertz = static_cast<double>(k) * kMonoRate / static_cast<double>(kFrame);
        if (hertz < kLowest || hertz > kHighest) continue;
        const std::span counts = std::span(counts_).subspan(k * kSteps, kSteps);
        std::uint64_t all = 0, below = 0;
        for (const std::uint32_t count : counts)
            all += count;
        std::size_t middle = 0;
        while (middle + 1 < counts.size() && 2 * (below += counts[middle]) < all)
            ++middle;
        floor_[k] =
            kAboveUsual * std::exp2((static_cast<float>(middle) + 0.5F) / kStepsPerDouble + kLowestLevel);
    }
    counts_ = {};
    waiting_.assign(kHop, 0);
}

void Whitener::whiten(std::span<const float> samples, std::vector<float>& out) {
    taken_ += static_cast<std::int64_t>(samples.size());
    waiting_.insert(waiting_.end(), samples.begin(), samples.end());
    std::size_t at = 0;
    for (; at + kFrame <= waiting_.size(); at += kHop) {
        spectrum_of(std::span(waiting_).subspan(at, kFrame));
        whiten_frame(out);
    }
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(at));
}

void Whitener::whiten_frame(std::vector<float>& out) {
    for (std::size_t k = 0; k < spectrum_.size(); ++k) {
        const float power = std::norm(spectrum_[k]);
        const bool rises = floor_[k] >= 0 && power > floor_[k];
        spectrum_[k] *= rises ? (1 - floor_[k] / power) / std::sqrt(power) : 0.0F;
    }
    fft_.back(spectrum_, work_);
    const bool before_first = given_ < 0;
    for (std::size_t i = 0; i < kHop; ++i) {
        const float sample = tail_[i] + work_[i] * window_[i];
        if (!before_first) out.push_back(sample);
        tail_[i] = work_[i + kHop] * window_[i + kHop];
    }
    given_ += static_cast<std::int64_t>(kHop);
}

void Whitener::finish(std::vector<float>& out) {
    const std::int64_t wanted = taken_;
    const std::vector<float> silence(kFrame, 0.0F);
    while (given_ < wanted)
        whiten(silence, out);
    out.resize(out.size() - static_cast<std::size_t>(given_ - wanted));
    waiting_.assign(kHop, 0);
    tail_.assign(kHop, 0);
    taken_ = 0;
    given_ = -static_cast<std::int64_t>(kHop);
}

}  // namespace plumbmark::media
