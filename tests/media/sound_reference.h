// The independent truth about a clip's sound: what the ffmpeg and ffprobe programs say.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <vector>

#include "media/sound.h"

namespace plumbmark::media::test {

inline constexpr std::int64_t kMs = 1'000'000;  // nanoseconds
constexpr base::Time at_ms(std::int64_t ms) {
    return {ms * kMs};
}

/// pts (none for N/A) and samples of each frame: `ffprobe -select_streams a:N -show_frames`.
struct ProbedSound {
    std::optional<std::int64_t> pts;
    std::int64_t samples = 0;
};
std::vector<ProbedSound> probed_sound(const std::filesystem::path& clip, int stream = 0);

/// Interleaved samples: `ffmpeg -i CLIP -map 0:a:N -f f32le -`.
std::vector<float> decoded_sound(const std::filesystem::path& clip, int stream = 0);

/// All blocks from the beginning; fails the test on an error.
std::vector<SoundBlock> all_blocks(const std::filesystem::path& clip, std::optional<int> stream = {});

/// Reads the whole stream and holds it against both programs: as many blocks, the same pts and samples to the
/// bit, and times that agree with the pts to one tick and one sample. Returns the blocks.
std::vector<SoundBlock> check_sound(const std::filesystem::path& clip, int stream = 0);

/// The time of the first sample whose amplitude is at least this, within [from, to).
std::optional<base::Time> first_louder(const std::vector<SoundBlock>& blocks, float amplitude,
                                       base::Time from, base::Time to);
/// The largest amplitude within [from, to).
float loudest(const std::vector<SoundBlock>& blocks, base::Time from, base::Time to);

}  // namespace plumbmark::media::test
