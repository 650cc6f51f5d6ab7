// The sound of a stretch of a clip, sample by sample from its beginning, without gaps.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/result.h"
#include "media/sound.h"

namespace plumbmark::review {

/// One owner thread; waits for the decoder.
class StretchSound {
  public:
    /// From this time on, at the rate and with the channels that the decoder gives there. Errors as
    /// SoundReader::seek() and read().
    [[nodiscard]] static base::Result<StretchSound> open(media::SoundReader reader, base::Time from);

    [[nodiscard]] int rate() const { return rate_; }          ///< positive
    [[nodiscard]] int channels() const { return channels_; }  ///< positive
    /// The samples from where the last call ended to before 't', interleaved. Silence where the file has
    /// none, where it is damaged, and where it changes its rate or channels.
    [[nodiscard]] std::vector<float> up_to(base::Time t);
    /// Why the rest is silence; none while it is not.
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }

  private:
    StretchSound(media::SoundReader reader, base::Time from) : reader_(std::move(reader)), from_(from) {}
    [[nodiscard]] std::int64_t sample_at(base::Time t) const;
    [[nodiscard]] std::int64_t have() const;
    void read_on(std::int64_t wanted);
    void take(const media::SoundBlock& block);

    media::SoundReader reader_;
    base::Time from_;
    int rate_ = 1, channels_ = 1;
    std::optional<media::SoundBlock> held_;  ///< read, and not handed on yet
    std::int64_t given_ = 0;                 ///< samples that were handed out
    std::vector<float> waiting_;             ///< those after them
    bool ended_ = false;
    std::optional<base::Error> trouble_;
};

}  // namespace plumbmark::review
