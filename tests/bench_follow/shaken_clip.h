// A clip from a camera held by hand, and where everything lies in it.
#pragma once

#include <cstdio>
#include <filesystem>
#include <iostream>
#include <optional>
#include <string>

#include "bench_follow/shaken.h"

namespace plumbmark::shaken_clip {

inline constexpr int kWidth = 960, kHeight = 540, kFrames = 90;
inline constexpr double kRate = 30;

/// A hand lies on the lens in frames 40 to 47.
inline bool covered(int frame) {
    return frame >= 40 && frame <= 47;
}

inline shaken::Hands hands() {
    return {21, 0.8, kWidth, kHeight, 1300, 800};
}

/// Of another quality it is another file. None, and "skipped:" is said, without the ffmpeg program.
inline std::optional<std::filesystem::path> make(const std::filesystem::path& folder,
                                                 const std::string& name = "shaken.mp4", int quality = 20) {
    const std::filesystem::path clip = folder / name;
    const std::string command =
        "ffmpeg -v error -nostdin -f rawvideo -pix_fmt gray -s 960x540 -r 30 -i - "
        "-c:v libx264 -preset veryfast -g 30 -crf " +
        std::to_string(quality) + " -pix_fmt yuv420p '" + clip.string() + "' 2>/dev/null";
    FILE* program = popen(command.c_str(), "w");
    const shaken::Luma hall = shaken::painted_hall(21, 1300, 800);
    bool written = program != nullptr;
    for (int frame = 0; written && frame < kFrames; ++frame) {
        shaken::Light light;
        light.seed = 5000U + static_cast<std::uint32_t>(frame);
        light.bodies = 0.1;
        const shaken::Luma picture =
            covered(frame) ? shaken::covered(light.seed, kWidth, kHeight)
                           : shaken::filmed(hall, hands(), frame / kRate, light, kWidth, kHeight);
        written = fwrite(picture.pixels.data(), 1, picture.pixels.size(), program) == picture.pixels.size();
    }
    if (program && pclose(program) == 0 && written) return clip;
    std::cout << "skipped: the program ffmpeg cannot make the clip\n";
    return std::nullopt;
}

inline follow::Mapping truth(int from, int to) {
    return shaken::after(hands().at(from / kRate), *hands().at(to / kRate).inverse());
}

}  // namespace plumbmark::shaken_clip
