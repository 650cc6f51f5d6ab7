// A clip's sound as one channel at one rate, in order and without holes: what two clips can be compared by.
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "media/internal/libav.h"
#include "media/sound.h"

namespace plumbmark::media {

/// Samples a second: enough for the band up to 7.5 kHz.
inline constexpr int kMonoRate = 16'000;

/// One owner thread; holds a block at a time. All channels are mixed alike. Sample n stands at time_of(n) to
/// within a sample and what SoundReader says of a file's times; where the file has a gap there is silence,
/// and where its times overlap what came first stays.
class MonoSound {
  public:
    /// Errors as SoundReader::open and read.
    [[nodiscard]] static base::Result<MonoSound> open(const std::filesystem::path& path,
                                                      const SoundOptions& options);

    /// The next samples, at least one; none at the end. A clip of which only a beginning can be read ends
    /// there.
    [[nodiscard]] base::Result<std::optional<std::vector<float>>> read();
    /// Time of the n-th sample of all that read() gave; known once there was one.
    [[nodiscard]] base::Time time_of(double n) const;

    /// One step of the file's time stamps, rounded up.
    [[nodiscard]] std::int64_t tick_ns() const;

  private:
    explicit MonoSound(SoundReader reader) : reader_(std::move(reader)) {}
    bool take(const SoundBlock& block, std::vector<float>& out);
    void begin_stretch(const SoundBlock& block, std::vector<float>& out);
    void drain(std::vector<float>& out);
    void convert(const float* samples, int count, std::vector<float>& out);

    SoundReader reader_;
    ResamplerPtr resampler_;
    std::optional<base::Time> begin_;
    std::vector<float> mixed_;
    std::int64_t made_ = 0;  ///< samples given so far
    std::int64_t skip_ = 0;  ///< of what comes next: they overlap what was given
    int rate_ = 0;
    bool ended_ = false;
};

}  // namespace plumbmark::media
