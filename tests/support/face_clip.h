// A clip with a drawn face in it.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <optional>
#include <stdexcept>
#include <string>

#include "media/still.h"
#include "support/drawn_face.h"

namespace plumbmark::test {

/// Forty frames of that picture, 25 a second, nearly as they were drawn. None, and "skipped:" is said,
/// without the ffmpeg program.
inline std::optional<std::filesystem::path> clip_of(const media::RgbaImage& image,
                                                    const std::filesystem::path& folder) {
    const auto png = media::encode_png(image);
    if (!png) throw std::runtime_error(png.error().text());
    const std::filesystem::path picture = folder / "picture.png", clip = folder / "picture.mp4";
    std::ofstream(picture, std::ios::binary)
        .write(reinterpret_cast<const char*>(png->data()), static_cast<std::streamsize>(png->size()));
    const std::string command = "ffmpeg -v error -nostdin -loop 1 -r 25 -i '" + picture.string() +
                                "' -frames:v 40 -c:v libx264 -qp 4 -pix_fmt yuv420p '" + clip.string() +
                                "' 2>/dev/null";
    if (std::system(command.c_str()) == 0) return clip;
    std::cout << "skipped: the program ffmpeg cannot make the clip\n";
    return std::nullopt;
}

}  // namespace plumbmark::test
