// The sound of a clip, block by block, at exact times on the clip's own clock: the clock of FrameEntry::time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "media/clip_bytes.h"
#include "media/clip_info.h"

namespace plumbmark::media {

/// A run of samples without a gap.
struct SoundBlock {
    /// Time of the first sample in ticks, as `ffprobe -show_frames` prints it; none where the file gives
    /// none.
    std::optional<std::int64_t> pts;
    /// Time of the first sample, rounded down to the nanosecond. Within one stretch without gaps it is
    /// counted in samples from the stretch's first pts, so that a coarse time base does not make it jump.
    base::Time time;
    /// What lies between the end of the block before and this one: a gap in the file, or an overlap when
    /// negative. Zero where the file's times agree with the count to one tick and one sample.
    base::Duration gap;
    int rate = 0;  ///< samples per second
    int channels = 0;
    std::vector<float> samples;  ///< interleaved; full scale is -1 to 1, and may be exceeded

    [[nodiscard]] std::int64_t frames() const {
        return channels > 0 ? static_cast<std::int64_t>(samples.size()) / channels : 0;
    }
    /// Time of the n-th sample (n == frames(): when the block ends), rounded down.
    [[nodiscard]] base::Time time_of(std::int64_t n) const {
        return time + base::Duration{base::floor_to_time(n, {1, rate}).ns};
    }
    [[nodiscard]] base::Time end() const { return time_of(frames()); }
};

struct SoundOptions {
    std::optional<int> stream = {};  ///< SoundStream::ordinal; none: the file's preset one
    std::stop_token stop = {};       ///< when requested, calls end within one packet with Category::cancelled
    BytesOpener open_bytes = {};     ///< where the clip's bytes come from; empty: the file of that name
};

/// Blocking reader with one owner thread at a time; holds one block, never the clip.
///
/// Times. Sound and picture share one zero: a time is the container's presentation time, less what an edit
/// list or the codec's declared priming cuts away, and nothing is shifted to begin at 0. So a sample's time
/// agrees with the container's to one sample plus one tick of the stream's time base (1 ms in Matroska,
/// 1/90000 s in transport streams, one sample in most MP4). Beyond that lies only what a file leaves unsaid:
/// an encoder's delay that no edit list or header declares makes the sound late by that much. At 48 kHz that
/// is up to 44 ms for AAC (2112 samples, the delay QuickTime's encoder is known for; from memory: QuickTime
/// File Format, appendix 'Audio Priming') and up to 24 ms for MP3 (1105 samples, common practice, no source).
class SoundReader {
  public:
    /// Opens a clip's bytes only, never a playlist, another file or a network address. Errors: not_found, io,
    /// bad_input (a directory, no clip, no sound stream, no such stream), unsupported (no decoder), damaged
    /// (empty, times without a unit), cancelled.
    [[nodiscard]] static base::Result<SoundReader> open(const std::filesystem::path& path,
                                                        SoundOptions options = {});
    ~SoundReader();
    SoundReader(SoundReader&&) noexcept;
    SoundReader& operator=(SoundReader&&) noexcept;

    [[nodiscard]] const std::vector<SoundStream>& streams() const;
    [[nodiscard]] const SoundStream& stream() const;  ///< the one that is read

    /// The next block in the file's order; none at the end. Read from the beginning, all samples in a row are
    /// those of `ffmpeg -i CLIP -map 0:a:N -f f32le -`. A damaged packet is left out (a gap); when the rest
    /// of the file gives no more sound but damage, the error damaged comes instead of the end. Work is
    /// bounded by the file's size, whatever it says. Errors: damaged, io, cancelled; not_found, io or damaged
    /// where the file is gone, was replaced or cut short since it was opened; good_until() tells from when
    /// on. After an error seek() may find the way again.
    [[nodiscard]] base::Result<std::optional<SoundBlock>> read();

    /// Makes read() go on with the block that holds t, else the first after it; the end when there is none.
    /// The decoder runs up to it over at least 100 ms, or from the beginning, so that its samples are those
    /// of reading on. Their times rest on another pts then, and may differ by one tick. Errors as read().
    [[nodiscard]] base::Result<void> seek(base::Time t);

    /// End of the last block that was read; none while there was none.
    [[nodiscard]] std::optional<base::Time> good_until() const;

  private:
    class Impl;
    explicit SoundReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
