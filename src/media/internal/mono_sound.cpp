#include "media/internal/mono_sound.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::media {
namespace {

// A time further off than this from the samples before is a damaged one: no camera pauses for a day.
constexpr std::int64_t kLongestGap = std::int64_t{24} * 3600 * kMonoRate;

}  // namespace

base::Result<MonoSound> MonoSound::open(const std::filesystem::path& path, const SoundOptions& options) {
    auto reader = SoundReader::open(path, options);
    if (!reader) return reader.error();
    return MonoSound(std::move(*reader));
}

base::Time MonoSound::time_of(double n) const {
    return base::Time{begin_.value_or(base::Time{0}).ns + std::llround(n * 1e9 / kMonoRate)};
}

std::int64_t MonoSound::tick_ns() const {
    return base::floor_to_time(1, reader_.stream().time_base).ns + 1;
}

base::Result<std::optional<std::vector<float>>> MonoSound::read() {
    std::vector<float> out;
    while (out.empty() && !ended_) {
        auto block = reader_.read();
        // Damage at the end costs that end alone; where nothing came before it is told.
        if (!block && (made_ == 0 || block.error().category != base::Category::damaged)) return block.error();
        const bool more = block.ok() && block->has_value();
        if (!more || !take(**block, out)) {
            ended_ = true;
            drain(out);
        }
        made_ += static_cast<std::int64_t>(out.size());
    }
    if (out.empty()) return std::optional<std::vector<float>>{};
    return std::optional(std::move(out));
}

/// False where the block's time makes no sense beside those before.
bool MonoSound::take(const SoundBlock& block, std::vector<float>& out) {
    if (!begin_) begin_ = block.time;
    if (std::abs(block.gap.ns / 1'000) > kLongestGap * 1'000'000 / kMonoRate) return false;
    if (!resampler_ || block.rate != rate_ || block.gap.ns != 0) begin_stretch(block, out);
    const auto frames = static_cast<std::size_t>(block.frames());
    const auto channels = static_cast<std::size_t>(block.channels);
    mixed_.resize(frames);
    for (std::size_t i = 0; i < frames; ++i) {
        float sum = 0;
        for (std::size_t c = 0; c < channels; ++c)
            sum += block.samples[i * channels + c];
        mixed_[i] = std::isfinite(sum) ? std::clamp(sum / static_cast<float>(channels), -4.0F, 4.0F) : 0;
    }
    convert(mixed_.data(), static_cast<int>(frames), out);
    return true;
}

/// Ends what runs, and fills up, or skips, to where the block stands.
void MonoSound::begin_stretch(const SoundBlock& block, std::vector<float>& out) {
    drain(out);
    const double wanted = static_cast<double>((block.time - *begin_).ns) * kMonoRate / 1e9;
    const std::int64_t missing = std::llround(wanted) - made_ - static_cast<std::int64_t>(out.size());
    if (missing > 0) out.resize(out.size() + static_cast<std::size_t>(std::min(missing, kLongestGap)));
    skip_ = std::max<std::int64_t>(0, -missing);
    rate_ = block.rate;
    AVChannelLayout mono = {};
    av_channel_layout_default(&mono, 1);
    SwrContext* raw = nullptr;
    const int set = swr_alloc_set_opts2(&raw, &mono, AV_SAMPLE_FMT_FLT, kMonoRate, &mono, AV_SAMPLE_FMT_FLT,
                                        rate_, 0, nullptr);
    resampler_.reset(raw);
    if (set < 0 || swr_init(raw) < 0) resampler_.reset();
}

void MonoSound::drain(std::vector<float>& out) {
    if (resampler_) convert(nullptr, 0, out);
    resampler_.reset();
}

void MonoSound::convert(const float* samples, int count, std::vector<float>& out) {
    if (!resampler_) return;
    const int room = swr_get_out_samples(resampler_.get(), count) + 64;
    const std::size_t before = out.size();
    out.resize(before + static_cast<std::size_t>(room));
    auto* to = reinterpret_cast<std::uint8_t*>(out.data() + before);
    const auto* from = reinterpret_cast<const std::uint8_t*>(samples);
    const int made = swr_convert(resampler_.get(), &to, room, samples ? &from : nullptr, count);
    out.resize(before + static_cast<std::size_t>(std::max(made, 0)));
    const auto skipped = std::min(skip_, static_cast<std::int64_t>(out.size() - before));
    const auto first = out.begin() + static_cast<std::ptrdiff_t>(before);
    out.erase(first, first + skipped);
    skip_ -= skipped;
}

}  // namespace plumbmark::media
