// A clip's picture as it is followed: brightness only, small, upright.
#pragma once

#include <cstdint>
#include <vector>

#include "media/picture.h"

namespace plumbmark::follow {

/// The longest side of a picture in which points are followed. A point is found to about a twentieth of a
/// pixel, which at 1920 pixels is a tenth: larger pictures cost four times as much and gain nothing an eye
/// sees.
inline constexpr int kLongestSide = 960;

/// Brightness, row by row, nothing between rows: pixels.size() == width * height. 'full_width' and
/// 'full_height' are the size of the upright picture that it stands for, in whose pixels points are given.
struct GreyPicture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
    int full_width = 0, full_height = 0;
};

/// The picture's luma with a longest side of 'longest' at most, upright. For R'G'B' pictures the green one
/// stands in. Of high bit depths the upper eight bits. Empty (no pixels) where the picture cannot be
/// converted. Any thread.
[[nodiscard]] GreyPicture grey_picture(const media::Picture& picture, int longest = kLongestSide);
/// Of brightness that is at hand: rows of 'width' bytes, 'stride' apart.
[[nodiscard]] GreyPicture grey_picture(const std::uint8_t* luma, int width, int height,
                                       std::ptrdiff_t stride);

}  // namespace plumbmark::follow
