// Ties a made pair of recordings through files, as clips come.
#pragma once

#include <filesystem>

#include "base/result.h"
#include "bench_sound/sound_room.h"
#include "media/sound_tie.h"

namespace plumbmark::bench {

enum class Coded : std::uint8_t { wave, aac };

/// Writes both into the folder (which exists), coded by the ffmpeg program where it is AAC, and ties them.
base::Result<media::SoundTieOutcome> tied(const Pair& pair, const std::filesystem::path& folder, Coded coded);

/// One frame of 60 a second.
inline constexpr double kFrameSeconds = 1.0 / 60;
/// Of a pair with something in common: the tie is within a frame of how the sounds reach the two.
bool within_a_frame(const Pair& pair, const media::SoundTie& tie);
/// ... and the bound that is stated, with the distance, holds what is true of the clocks.
bool bound_holds(const Pair& pair, const media::SoundTie& tie);

}  // namespace plumbmark::bench
