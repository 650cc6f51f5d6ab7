// A face that is drawn, plainly, so that a program which looks for faces finds it.
#pragma once

#include <cmath>
#include <cstdint>

#include "media/picture.h"

namespace plumbmark::test {

namespace face_parts {

inline bool in_ellipse(double x, double y, double middle_x, double middle_y, double across, double down) {
    return std::hypot((x - middle_x) / across, (y - middle_y) / down) < 1;
}

/// The brightness at a place of the face, whose middle is 0, 0 and whose cheeks are at -0.75 and 0.75.
inline double brightness(double x, double y) {
    const double side = std::abs(x);
    if (in_ellipse(side, y, 0.33, -0.12, 0.2, 0.1)) return 50;   // an eye
    if (in_ellipse(side, y, 0.33, -0.3, 0.26, 0.06)) return 80;  // its brow
    if (in_ellipse(x, y, 0, 0.6, 0.3, 0.08)) return 90;          // the mouth
    if (in_ellipse(x, y, 0, 0.36, 0.16, 0.05)) return 120;       // below the nose
    if (in_ellipse(x, y, 0, 0.1, 0.06, 0.25)) return 225;        // the nose
    if (in_ellipse(x, y, 0, 0.1, 0.75, 1.0)) return 200 - 30 * side;
    if (in_ellipse(x, y, 0, -0.15, 0.95, 1.25)) return 50;  // hair
    return 120;
}

}  // namespace face_parts

/// A grey picture with one face: 'half' is half its width, hair included.
inline media::RgbaImage drawn_face(int width, int height, int middle_x, int middle_y, int half) {
    media::RgbaImage image{width, height, {}};
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const double grey = face_parts::brightness(static_cast<double>(x - middle_x) / half,
                                                       static_cast<double>(y - middle_y) / half);
            image.pixels.insert(image.pixels.end(), 3, static_cast<std::uint8_t>(grey));
            image.pixels.push_back(255);
        }
    return image;
}

}  // namespace plumbmark::test
