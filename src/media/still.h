// Stills: pictures scaled, cut out and written as PNG or JPEG bytes.
#pragma once

#include <cstdint>
#include <vector>

#include "base/result.h"
#include "media/picture.h"

namespace plumbmark::media {

/// A PNG file, 8-bit RGBA (RGB when every pixel is opaque), lossless. Errors: bad_input (an empty image, or
/// pixels that do not fit its size), unsupported (this libav has no PNG encoder), io (the encoder failed).
/// Any thread.
[[nodiscard]] base::Result<std::vector<std::uint8_t>> encode_png(const RgbaImage& image);

/// A baseline JPEG file, 4:4:4, full range BT.601 as JFIF (ITU-T T.871) says; alpha is dropped. quality 1
/// (smallest) to 100 (best). Errors as encode_png, and bad_input for a quality out of range. Any thread.
[[nodiscard]] base::Result<std::vector<std::uint8_t>> encode_jpeg(const RgbaImage& image, int quality);

/// The image resampled to width x height (both at least 1, else bad_input): area averaging when smaller,
/// bicubic when larger.
[[nodiscard]] base::Result<RgbaImage> scaled(const RgbaImage& image, int width, int height);

/// The image scaled down, aspect kept, to fit into the box; unchanged when it fits already.
[[nodiscard]] base::Result<RgbaImage> fitted(const RgbaImage& image, int max_width, int max_height);

/// The part of the image inside the rectangle, which is first cut to the image; bad_input when nothing is
/// left.
[[nodiscard]] base::Result<RgbaImage> cropped(const RgbaImage& image, int x, int y, int width, int height);

}  // namespace plumbmark::media
