// A sum over a decoder's own planes, as ffmpeg's framemd5 prints it.
#pragma once

#include <cstdint>
#include <string>

namespace plumbmark::bench {

/// MD5 in lower-case hexadecimal of the planes one after another, rows without padding. pixel_format is an
/// AVPixelFormat; data and stride have 4 places.
[[nodiscard]] std::string planes_md5(const std::uint8_t* const* data, const int* stride, int pixel_format,
                                     int width, int height);

}  // namespace plumbmark::bench
