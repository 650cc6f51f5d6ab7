// Fills a SoundWindow with a clip's sound at the device's rate, around the place that is being played.
#pragma once

#include <filesystem>
#include <optional>
#include <stop_token>
#include <vector>

#include "media/internal/libav.h"
#include "media/internal/sound_window.h"
#include "media/sound.h"

namespace plumbmark::media {

/// Blocks of any rate and number of channels as stereo at one rate. One owner thread.
class StereoResampler {
  public:
    explicit StereoResampler(int rate) : rate_(rate) {}
    /// Adds the block's pairs to 'pairs'; the resampler keeps a few for the next one. False where it cannot.
    bool add(const SoundBlock& block, std::vector<float>& pairs);
    /// Adds what it kept, and forgets.
    void finish(std::vector<float>& pairs);
    [[nodiscard]] bool fits(const SoundBlock& block) const {
        return resampler_ && block.rate == from_rate_ && block.channels == channels_;
    }

  private:
    bool prepare(const SoundBlock& block);
    void convert(const float* samples, int frames, std::vector<float>& pairs);

    const int rate_;
    ResamplerPtr resampler_;
    int from_rate_ = 0, channels_ = 0;
    bool pick_two_ = false;  ///< one channel, or more than have names: the first two are taken as they are
    std::vector<float> picked_;
};

/// One owner thread, the player's worker. What cannot be read is silence.
class SoundSupply {
  public:
    SoundSupply(const std::filesystem::path& clip, std::optional<int> stream, int rate, std::stop_token stop);

    /// Makes the window hold 'place' and up to a second after it. Decodes at most about a second; returns
    /// early when stopped.
    void top_up(SoundWindow& window, std::int64_t place);

  private:
    void go_to(SoundWindow& window, std::int64_t place);
    void fetch();
    void take(const SoundBlock& block);
    void hand_over(SoundWindow& window, std::int64_t limit);

    const int rate_;
    std::stop_token stop_;
    std::optional<SoundReader> reader_;
    StereoResampler resampler_;
    std::vector<float> ready_;        ///< pairs that wait for their place
    std::int64_t ready_place_ = 0;    ///< of the first of them
    std::optional<SoundBlock> next_;  ///< begins a new stretch, once 'ready_' is handed over
    bool running_ = false;            ///< the resampler is within a stretch
    bool ended_ = true, empty_ = true;
};

}  // namespace plumbmark::media
