#include "review/internal/stretch_sound.h"

#include <algorithm>

namespace plumbmark::review {

base::Result<StretchSound> StretchSound::open(media::SoundReader reader, base::Time from) {
    StretchSound made(std::move(reader), from);
    if (auto there = made.reader_.seek(from); !there) return there.error();
    auto block = made.reader_.read();
    if (!block) return block.error();
    made.held_ = std::move(*block);
    made.ended_ = !made.held_;
    // A container may declare another rate than the decoder gives.
    made.rate_ = std::max(1, made.held_ ? made.held_->rate : made.reader_.stream().rate);
    made.channels_ = std::max(1, made.held_ ? made.held_->channels : made.reader_.stream().channels);
    return made;
}

/// The nearest sample, counted from the beginning.
std::int64_t StretchSound::sample_at(base::Time t) const {
    // Whole seconds apart, so that nothing overflows.
    const std::int64_t ns = (t - from_).ns, whole = ns / 1'000'000'000, rest = ns % 1'000'000'000 * rate();
    return whole * rate() + (rest + (rest < 0 ? -500'000'000 : 500'000'000)) / 1'000'000'000;
}

std::int64_t StretchSound::have() const {
    return given_ + static_cast<std::int64_t>(waiting_.size() / static_cast<std::size_t>(channels_));
}

/// What lies before is known already, or was never asked for; a gap is silent.
void StretchSound::take(const media::SoundBlock& block) {
    const auto width = static_cast<std::size_t>(channels_);
    const std::int64_t begins = sample_at(block.time), now = have();
    const std::int64_t skip = std::clamp<std::int64_t>(now - begins, 0, block.frames());
    if (begins > now) waiting_.resize(waiting_.size() + static_cast<std::size_t>(begins - now) * width, 0.0F);
    waiting_.insert(waiting_.end(), block.samples.begin() + skip * static_cast<std::int64_t>(width),
                    block.samples.end());
}

void StretchSound::read_on(std::int64_t wanted) {
    while (have() < wanted) {
        if (held_ && held_->rate == rate_ && held_->channels == channels_) {
            if (sample_at(held_->time) > wanted) return;  // its turn comes later
            take(*held_);
        }
        held_.reset();
        if (ended_) return;
        auto block = reader_.read();
        if (!block) trouble_ = block.error();
        ended_ = !block || !*block;
        if (!ended_) held_ = std::move(*block);
    }
}

std::vector<float> StretchSound::up_to(base::Time t) {
    const auto width = static_cast<std::size_t>(channels());
    const std::int64_t wanted = std::max(given_, sample_at(t));
    read_on(wanted);
    const auto count = static_cast<std::size_t>(wanted - given_) * width;
    if (waiting_.size() < count) waiting_.resize(count, 0.0F);
    std::vector<float> out(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(count));
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(count));
    given_ = wanted;
    return out;
}

}  // namespace plumbmark::review
