#include "planes.h"

extern "C" {
#include <libavutil/imgutils.h>
#include <libavutil/md5.h>
}

#include <array>
#include <vector>

namespace plumbmark::bench {

std::string planes_md5(const std::uint8_t* const* data, const int* stride, int pixel_format, int width,
                       int height) {
    const auto format = static_cast<AVPixelFormat>(pixel_format);
    const int size = av_image_get_buffer_size(format, width, height, 1);
    if (size <= 0) return {};
    std::vector<std::uint8_t> packed(static_cast<std::size_t>(size));
    av_image_copy_to_buffer(packed.data(), size, data, stride, format, width, height, 1);
    std::array<std::uint8_t, 16> sum{};
    av_md5_sum(sum.data(), packed.data(), packed.size());
    std::string text;
    for (const std::uint8_t byte : sum) {
        text += "0123456789abcdef"[byte >> 4];
        text += "0123456789abcdef"[byte & 15];
    }
    return text;
}

}  // namespace plumbmark::bench
