// How loud a clip is, when: a compact summary that is cheap to draw at every zoom. Pure values, no file.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "base/time.h"
#include "media/sound.h"

namespace plumbmark::media {

/// Loudness of one stretch of time, as amplitudes: 1 is full scale.
struct SoundColumn {
    float peak = 0;  ///< the largest sample of any channel, without its sign; at most 1
    float rms = 0;   ///< root mean square over all channels; where parts were joined, of the loudest of them
    bool heard = false;  ///< the file has sound there (silence is heard too)
};

/// What fills the height of a drawing, in decibels below full scale.
struct SoundRange {
    float quietest = -60, loudest = 0;
};

/// Share of the height for an amplitude, 0 to 1: linear in decibels within the range.
[[nodiscard]] float loudness_share(float amplitude, SoundRange range);
/// 20 log10 of the amplitude (IEC 61606-1 calls the unit dB FS; a full-scale square wave is at 0 here); -96.3
/// for less than one step of 16 bits.
[[nodiscard]] float decibels(float amplitude);

/// Peak and loudness in buckets of one millisecond, and of 4, 16, ... milliseconds above them. A clip longer
/// than 70 minutes gets longer buckets: never more than 4 Mi of them, about 21 MiB in all. One thread at a
/// time.
class SoundLevels {
  public:
    /// Begins empty for this span of the clip's clock; end > begin. What sounds outside it is left out.
    SoundLevels(base::Time begin, base::Time end);

    /// Takes a block in. Blocks may come in any order; where they overlap, the louder counts.
    void add(const SoundBlock& block);

    /// 'count' (>= 1) equal stretches of [from, to), from < to; each column covers its own time and
    /// at most a quarter of a column more, or the rest of a bucket. Costs at most 17 steps a column at any
    /// zoom.
    [[nodiscard]] std::vector<SoundColumn> columns(base::Time from, base::Time to, int count) const;
    /// From just under the usual noise of the clip to its loudest peak, 24 to 60 dB apart.
    [[nodiscard]] SoundRange range() const;
    [[nodiscard]] base::Duration bucket() const { return {bucket_ns_}; }
    [[nodiscard]] std::size_t bytes() const;

  private:
    struct Bucket {
        std::uint16_t peak = 0, rms = 0;  ///< 1 + amplitude * 65534; 0: nothing heard
        friend bool operator==(const Bucket&, const Bucket&) = default;
    };
    using Level = std::vector<Bucket>;

    void put(std::size_t index, float peak, double mean_square);
    void lift(std::size_t first, std::size_t last);
    static SoundColumn column(const Level& level, std::int64_t first, std::int64_t last);

    std::int64_t begin_ns_, bucket_ns_;
    std::vector<Level> levels_;                  ///< each of a quarter of the length of the one before
    std::array<std::int64_t, 98> by_decibel_{};  ///< buckets by loudness: [n] at -n dB
    float loudest_ = 0;
};

}  // namespace plumbmark::media
