// Pictures in files, as another program (ffmpeg) decodes them.
#pragma once

#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <string>

#include "media/picture.h"
#include "support/run_program.h"

namespace plumbmark::test {

/// A PNG or JPEG file. Throws std::runtime_error where ffmpeg does not decode it.
inline media::RgbaImage decoded_picture(const std::filesystem::path& file) {
    const Answer answer = run_line("ffmpeg -v error -nostdin -i '" + file.string() +
                                   "' -frames:v 1 -f image2pipe -c:v pam -pix_fmt rgba - 2>/dev/null");
    const std::string end = "ENDHDR\n";
    const std::size_t header = answer.words.find(end);
    if (answer.code != 0 || header == std::string::npos)
        throw std::runtime_error("cannot be decoded: " + file.string());
    media::RgbaImage image;
    std::istringstream words(answer.words.substr(0, header));
    for (std::string word; words >> word;) {
        if (word == "WIDTH") words >> image.width;
        if (word == "HEIGHT") words >> image.height;
    }
    image.pixels.assign(answer.words.begin() + static_cast<std::ptrdiff_t>(header + end.size()),
                        answer.words.end());
    if (image.pixels.size() !=
        4 * static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height))
        throw std::runtime_error("cut off: " + file.string());
    return image;
}

}  // namespace plumbmark::test
