#include "media/internal/sound_supply.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace plumbmark::media {
namespace {

/// The place that a time falls on, to half a sample.
std::int64_t place_of(base::Time t, int rate) {
    return std::llround(static_cast<double>(t.ns) * 1e-9 * rate);
}

}  // namespace

bool StereoResampler::prepare(const SoundBlock& block) {
    from_rate_ = block.rate;
    channels_ = block.channels;
    AVChannelLayout in = {}, out = {};
    av_channel_layout_default(&out, 2);
    av_channel_layout_default(&in, channels_);
    pick_two_ = channels_ == 1 || in.order == AV_CHANNEL_ORDER_UNSPEC;
    SwrContext* raw = nullptr;
    const int set = swr_alloc_set_opts2(&raw, &out, AV_SAMPLE_FMT_FLT, rate_, pick_two_ ? &out : &in,
                                        AV_SAMPLE_FMT_FLT, from_rate_, 0, nullptr);
    resampler_.reset(raw);
    av_channel_layout_uninit(&in);
    av_channel_layout_uninit(&out);
    if (set < 0 || swr_init(raw) < 0) resampler_.reset();
    return resampler_ != nullptr;
}

bool StereoResampler::add(const SoundBlock& block, std::vector<float>& pairs) {
    if (!fits(block) && !prepare(block)) return false;
    const auto frames = static_cast<std::size_t>(block.frames());
    const float* samples = block.samples.data();
    if (pick_two_) {
        const auto wide = static_cast<std::size_t>(channels_), second = std::min<std::size_t>(1, wide - 1);
        picked_.resize(2 * frames);
        for (std::size_t i = 0; i < frames; ++i) {
            picked_[2 * i] = samples[i * wide];
            picked_[2 * i + 1] = samples[i * wide + second];
        }
        samples = picked_.data();
    }
    convert(samples, static_cast<int>(frames), pairs);
    return true;
}

void StereoResampler::finish(std::vector<float>& pairs) {
    if (resampler_) convert(nullptr, 0, pairs);
    resampler_.reset();
}

void StereoResampler::convert(const float* samples, int frames, std::vector<float>& pairs) {
    const int most = swr_get_out_samples(resampler_.get(), frames);
    if (most <= 0) return;
    const std::size_t before = pairs.size();
    pairs.resize(before + 2 * static_cast<std::size_t>(most));
    auto* to = reinterpret_cast<std::uint8_t*>(pairs.data() + before);
    const auto* from = reinterpret_cast<const std::uint8_t*>(samples);
    const int made = swr_convert(resampler_.get(), &to, most, samples ? &from : nullptr, frames);
    pairs.resize(before + 2 * static_cast<std::size_t>(std::max(0, made)));
}

SoundSupply::SoundSupply(const std::filesystem::path& clip, std::optional<int> stream, int rate,
                         std::stop_token stop)
    : rate_(rate), stop_(std::move(stop)), resampler_(rate) {
    auto opened = SoundReader::open(clip, {stream, stop_});
    if (opened) reader_ = std::move(*opened);
}

void SoundSupply::top_up(SoundWindow& window, std::int64_t place) {
    if (!reader_) return;
    const bool behind = place<window.begin(), ahead = place> window.end() + rate_ / 2;
    if (empty_ || behind || (ahead && !ended_)) go_to(window, place);
    const std::int64_t limit = place + rate_;
    while (window.end() < limit && !stop_.stop_requested()) {
        if (ready_.empty() && next_) take(*std::exchange(next_, std::nullopt));
        if (ready_.empty() && ended_) return;
        if (ready_.empty()) fetch();
        hand_over(window, limit);
    }
}

void SoundSupply::go_to(SoundWindow& window, std::int64_t place) {
    ready_.clear();
    next_.reset();
    std::vector<float> forgotten;
    resampler_.finish(forgotten);
    running_ = empty_ = false;
    window.restart(place);
    // A little earlier, so that the resampler has run in where the window begins.
    const auto ns = static_cast<std::int64_t>(static_cast<double>(place) / rate_ * 1e9);
    ended_ = !reader_->seek({ns - 10'000'000}).ok();
}

/// Reads one block; what the resampler gives of it stands in 'ready_' then.
void SoundSupply::fetch() {
    auto block = reader_->read();
    if (block && *block) {
        const bool goes_on = running_ && resampler_.fits(**block) && (*block)->gap.ns == 0;
        if (goes_on) {
            (void)resampler_.add(**block, ready_);
            return;
        }
        if (!running_) return take(**block);
        next_ = std::move(**block);
    } else {
        ended_ = true;
    }
    if (std::exchange(running_, false)) resampler_.finish(ready_);
}

/// Begins a new stretch.
void SoundSupply::take(const SoundBlock& block) {
    ready_place_ = place_of(block.time, rate_);
    running_ = resampler_.add(block, ready_);
}

void SoundSupply::hand_over(SoundWindow& window, std::int64_t limit) {
    if (ready_.empty()) return;
    while (window.end() < ready_place_ && window.end() < limit)
        window.append(0, 0);
    if (window.end() < ready_place_) return;
    const auto frames = static_cast<std::int64_t>(ready_.size() / 2);
    for (std::int64_t i = std::min(frames, window.end() - ready_place_); i < frames; ++i)
        window.append(ready_[static_cast<std::size_t>(2 * i)], ready_[static_cast<std::size_t>(2 * i + 1)]);
    ready_place_ += frames;
    ready_.clear();
}

}  // namespace plumbmark::media
