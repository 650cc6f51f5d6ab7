#include "bench_sound/tied.h"

#include <cmath>
#include <cstdlib>

namespace plumbmark::bench {

base::Result<media::SoundTieOutcome> tied(const Pair& pair, const std::filesystem::path& folder,
                                          Coded coded) {
    std::filesystem::path files[2] = {folder / "first.wav", folder / "second.wav"};
    write_wave(files[0], pair.first, pair.first_rate);
    write_wave(files[1], pair.second, pair.second_rate);
    for (std::filesystem::path& file : files) {
        if (coded == Coded::wave) break;
        std::filesystem::path made = file;
        made.replace_extension(".mp4");
        const std::string command = "ffmpeg -v error -nostdin -y -i '" + file.string() +
                                    "' -c:a aac -b:a 96k '" + made.string() + "'";
        if (std::system(command.c_str()) != 0)
            return base::Error{base::Category::io, "The ffmpeg program made no clip.", made.string()};
        file = made;
    }
    return media::tie_by_sound(files[0], files[1]);
}

bool within_a_frame(const Pair& pair, const media::SoundTie& tie) {
    return std::abs(static_cast<double>(tie.later().ns) / 1e9 - pair.arrival) <= kFrameSeconds;
}

bool bound_holds(const Pair& pair, const media::SoundTie& tie) {
    const double bound = static_cast<double>(tie.half_width.ns) / 1e9 + pair.distance / kSpeedOfSound;
    // Sounds are made up to two metres off the middle, which is more distance that may differ.
    return std::abs(static_cast<double>(tie.later().ns) / 1e9 - pair.clocks) <= bound + 2 / kSpeedOfSound;
}

}  // namespace plumbmark::bench
