#include "media/sound_levels.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace plumbmark::media {
namespace {

constexpr std::int64_t kMillisecond = 1'000'000, kSecond = 1'000'000'000,
                       kMostBuckets = std::int64_t{4} << 20;
constexpr std::size_t kJoined = 4;   // buckets that make one of the next level
constexpr std::size_t kAColumn = 4;  // buckets that a column has at least, where they are small enough
constexpr float kStep = 1.0F / 65534;

std::uint16_t packed(float amplitude) {
    const float kept = std::isfinite(amplitude) ? std::clamp(amplitude, 0.0F, 1.0F) : 1.0F;
    return static_cast<std::uint16_t>(1 + std::lround(kept / kStep));
}
float unpacked(std::uint16_t value) {
    return value == 0 ? 0 : static_cast<float>(value - 1) * kStep;
}

std::int64_t up(std::int64_t a, std::int64_t b) {
    return (a + b - 1) / b;
}

/// The loudness of a few samples in a row.
struct Loudness {
    float peak = 0;
    double squares = 0;
};
Loudness loudness(const float* samples, std::size_t count) {
    Loudness sum;
    for (std::size_t i = 0; i < count; ++i) {
        sum.peak = std::max(sum.peak, std::abs(samples[i]));
        sum.squares += static_cast<double>(samples[i]) * static_cast<double>(samples[i]);
    }
    return sum;
}

}  // namespace

float decibels(float amplitude) {
    return 20 * std::log10(std::max(amplitude, kStep));
}

float loudness_share(float amplitude, SoundRange range) {
    return std::clamp((decibels(amplitude) - range.quietest) / (range.loudest - range.quietest), 0.0F, 1.0F);
}

SoundLevels::SoundLevels(base::Time begin, base::Time end) : begin_ns_(begin.ns) {
    PLUMBMARK_CHECK(begin < end);
    const std::int64_t span = end.ns - begin.ns;
    bucket_ns_ = std::max(kMillisecond, up(span, kMostBuckets));
    auto count = static_cast<std::size_t>(up(span, bucket_ns_));
    for (;;) {
        levels_.emplace_back(count);
        if (count <= kJoined) break;
        count = (count + kJoined - 1) / kJoined;
    }
}

void SoundLevels::add(const SoundBlock& block) {
    const std::int64_t end_ns = begin_ns_ + static_cast<std::int64_t>(levels_[0].size()) * bucket_ns_;
    const auto channels = static_cast<std::size_t>(block.channels);
    const std::int64_t frames = block.frames();
    const std::int64_t length_ns = (block.end() - block.time).ns;
    // The first sample whose time_of() is not before this; exact, so that none falls between two buckets.
    const auto sample_at = [&](std::int64_t ns) {
        const std::int64_t into = std::clamp<std::int64_t>(ns - block.time.ns, 0, length_ns);
        return std::min(frames, up(into * block.rate, kSecond));
    };
    const std::int64_t from = std::max(block.time.ns, begin_ns_), to = std::min(block.end().ns, end_ns);
    if (from >= to) return;
    const std::int64_t first = (from - begin_ns_) / bucket_ns_, last = (to - 1 - begin_ns_) / bucket_ns_;
    for (std::int64_t n = first; n <= last; ++n) {
        const std::int64_t a = sample_at(begin_ns_ + n * bucket_ns_),
                           b = sample_at(begin_ns_ + (n + 1) * bucket_ns_);
        if (a >= b) continue;
        const std::size_t count = static_cast<std::size_t>(b - a) * channels;
        const Loudness heard = loudness(block.samples.data() + static_cast<std::size_t>(a) * channels, count);
        put(static_cast<std::size_t>(n), heard.peak, heard.squares / static_cast<double>(count));
    }
    lift(static_cast<std::size_t>(first), static_cast<std::size_t>(last));
}

void SoundLevels::put(std::size_t index, float peak, double mean_square) {
    Bucket& bucket = levels_[0][index];
    const auto rms = static_cast<float>(std::sqrt(mean_square));
    const auto bin = [](std::uint16_t value) {
        return static_cast<std::size_t>(std::clamp(-std::round(decibels(unpacked(value))), 0.0F, 97.0F));
    };
    if (bucket.rms != 0) --by_decibel_[bin(bucket.rms)];
    bucket.peak = std::max(bucket.peak, packed(peak));
    bucket.rms = std::max(bucket.rms, packed(rms));
    ++by_decibel_[bin(bucket.rms)];
    loudest_ = std::max(loudest_, unpacked(bucket.peak));
}

void SoundLevels::lift(std::size_t first, std::size_t last) {
    for (std::size_t n = 1; n < levels_.size(); ++n) {
        first /= kJoined;
        last /= kJoined;
        for (std::size_t i = first; i <= last; ++i) {
            const Level& below = levels_[n - 1];
            Bucket joined;
            for (std::size_t k = i * kJoined; k < std::min(below.size(), (i + 1) * kJoined); ++k) {
                joined.peak = std::max(joined.peak, below[k].peak);
                joined.rms = std::max(joined.rms, below[k].rms);
            }
            levels_[n][i] = joined;
        }
    }
}

SoundColumn SoundLevels::column(const Level& level, std::int64_t first, std::int64_t last) {
    SoundColumn out;
    const std::int64_t end = std::min<std::int64_t>(last + 1, static_cast<std::int64_t>(level.size()));
    for (std::int64_t i = std::max<std::int64_t>(0, first); i < end; ++i) {
        const Bucket& bucket = level[static_cast<std::size_t>(i)];
        out.heard = out.heard || bucket.rms != 0;
        out.peak = std::max(out.peak, unpacked(bucket.peak));
        out.rms = std::max(out.rms, unpacked(bucket.rms));
    }
    return out;
}

std::vector<SoundColumn> SoundLevels::columns(base::Time from, base::Time to, int count) const {
    PLUMBMARK_CHECK(from < to && count >= 1);
    const double wide = static_cast<double>(to.ns - from.ns) / count;
    std::size_t level = 0;
    auto length = static_cast<double>(bucket_ns_);
    while (level + 1 < levels_.size() && length * static_cast<double>(kJoined * kAColumn) <= wide) {
        ++level;
        length *= static_cast<double>(kJoined);
    }
    const auto bucket_at = [&](double ns) {
        const double at = (static_cast<double>(from.ns - begin_ns_) + ns) / length;
        return static_cast<std::int64_t>(std::floor(std::clamp(at, -1e15, 1e15)));
    };
    std::vector<SoundColumn> out;
    out.reserve(static_cast<std::size_t>(count));
    for (int n = 0; n < count; ++n) {
        const std::int64_t first = bucket_at(n * wide);
        const std::int64_t last = std::max(first, bucket_at((n + 1) * wide - 1));
        out.push_back(column(levels_[level], first, last));
    }
    return out;
}

SoundRange SoundLevels::range() const {
    constexpr float least = 24, most = 60, under_noise = 3;
    std::int64_t all = 0;
    for (const std::int64_t count : by_decibel_)
        all += count;
    if (all == 0) return {};
    // The level that four fifths of the clip are louder than.
    std::int64_t quieter = 0;
    std::size_t noise = by_decibel_.size() - 1;
    while (noise > 0 && (quieter += by_decibel_[noise]) * 5 < all)
        --noise;
    const float loudest = decibels(loudest_);
    const float quietest = -static_cast<float>(noise) - under_noise;
    return {std::clamp(quietest, loudest - most, loudest - least), loudest};
}

std::size_t SoundLevels::bytes() const {
    std::size_t sum = 0;
    for (const Level& level : levels_)
        sum += level.capacity() * sizeof(Bucket);
    return sum;
}

}  // namespace plumbmark::media
