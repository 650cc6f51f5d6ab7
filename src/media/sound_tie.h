// How the clocks of two clips stand to each other, from what both of them hear.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "base/time.h"
#include "media/clip_bytes.h"

namespace plumbmark::media {

/// One moment as the sound of two clips has it, each on its clip's own clock (that of FrameEntry::time).
struct SoundTie {
    base::Time first_at, second_at;  ///< where what both hear is strongest: mostly a clap, a bang, a call
    /// What is later on the second clip's clock: second_at - first_at.
    [[nodiscard]] base::Duration later() const { return second_at - first_at; }
    /// What the correlation itself leaves open of later(), either way, over all that was compared: how far
    /// the stretches lie from each other, clocks that run apart among it, and the steps of samples and of the
    /// files' time stamps. Not in it: how much further one camera is from the source than the other, and a
    /// delay of an encoder that its file does not declare (sound.h).
    base::Duration half_width;
    /// The middle one of the heights of the stretches that agree, in standard deviations of the correlation
    /// over all places: 5 is what chance comes to in a long clip, a clean recording gives 50 and more.
    double sharpness = 0;
    int stretches = 0;  ///< that agree; each is compared by itself
};

/// Why two clips were not tied; an ordinary outcome.
enum class NoSoundTie : std::uint8_t {
    no_sound,            ///< one of them has no sound, or is silent
    too_short,           ///< less than a second and a half
    nothing_in_common,   ///< nowhere do stretches agree
    several_places_fit,  ///< periodic sound, or one that comes again
    stretches_disagree,  ///< some fit here, others there
};

struct SoundTieOutcome {
    std::optional<SoundTie> tie;
    NoSoundTie why = NoSoundTie::nothing_in_common;
    base::Sentence sentence;  ///< why there is none; empty where there is one
};

struct SoundTieOptions {
    std::optional<int> first_stream = {}, second_stream = {};  ///< SoundStream::ordinal; none: the preset one
    BytesOpener open_bytes = {};  ///< where the clips' bytes come from; empty: the files
    std::string first_name = {};  ///< as sentences call them; none: the first clip
    std::string second_name = {};
    std::function<void(double)> progress = {};  ///< told the share done, 0 to 1, on the calling thread
    std::stop_token stop = {};                  ///< when requested, it ends soon with Category::cancelled
};

/// Compares the two sounds at every place. Both are mixed to one channel of 16 kHz, limited to 300 Hz to 7.5
/// kHz and whitened (Knapp & Carter 1976, the phase transform; internal/whitener.h); stretches of the shorter
/// one, up to 40 of at most four seconds, are correlated with all of the other, and a place is taken only
/// where at least three of them agree to 20 ms, twice as many as those that belong elsewhere, and no other
/// place comes to half of it. So a single bang that sounds alike ties nothing, nor does a beat.
///
/// Reads each clip twice or three times, holds seconds of it, never the clip. Some 0.1 s of work for a minute
/// of both, growing with the product of their lengths up to 40 stretches. Errors are those of SoundReader for
/// clips that cannot be read; a clip without a sound stream is none of them.
[[nodiscard]] base::Result<SoundTieOutcome> tie_by_sound(const std::filesystem::path& first,
                                                         const std::filesystem::path& second,
                                                         const SoundTieOptions& options = {});

}  // namespace plumbmark::media
