// Pictures as they come out of a clip of H.264.
#pragma once

#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "bench_follow/shaken.h"
#include "follow/grey.h"

namespace plumbmark::compressed_clip {

/// 'quality': x264's crf, coarser with each step. None where the ffmpeg program cannot do it.
inline std::vector<follow::GreyPicture> through(const std::vector<follow::GreyPicture>& pictures,
                                                int quality) {
    static int number = 0;
    const std::filesystem::path clip =
        std::filesystem::temp_directory_path() /
        ("compressed-" + std::to_string(getpid()) + "-" + std::to_string(++number) + ".mp4");
    const std::string command =
        "ffmpeg -v error -nostdin -y -f rawvideo -pix_fmt gray -s 240x180 -r 60 -i - -c:v libx264 "
        "-g 30 -crf " +
        std::to_string(quality) + " -pix_fmt yuv420p '" + clip.string() + "' 2>/dev/null";
    FILE* program = popen(command.c_str(), "w");
    bool written = program != nullptr;
    for (const follow::GreyPicture& picture : pictures)
        written = written &&
                  fwrite(picture.pixels.data(), 1, picture.pixels.size(), program) == picture.pixels.size();
    std::vector<follow::GreyPicture> read;
    if (program && pclose(program) == 0 && written)
        for (shaken::Luma& luma : shaken::frames_of(clip.string(), static_cast<int>(pictures.size()), 1))
            read.push_back({luma.width, luma.height, std::move(luma.pixels), luma.width, luma.height});
    std::error_code none;
    std::filesystem::remove(clip, none);
    return read;
}

}  // namespace plumbmark::compressed_clip
