#include "media/half_size.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <vector>

#include "media/internal/conversion.h"

namespace plumbmark::media {
namespace {

/// What is made smaller of one plane: by two or not at all along each axis.
struct Shrink {
    int across = 2, down = 2;
};

template <class Sample>
void mean_row(const Sample* upper, const Sample* lower, int count, int together, int across, Sample* out) {
    if (together == 1 && across == 2) {  // nearly every clip's luma, in a form that can be widened
        for (int i = 0; i < count; ++i)
            out[i] = static_cast<Sample>(
                (upper[2 * i] + upper[2 * i + 1] + lower[2 * i] + lower[2 * i + 1] + 2) >> 2);
        return;
    }
    for (int i = 0; i < count; ++i) {
        for (int c = 0; c < together; ++c) {
            const int one = i * across * together + c, next = one + (across - 1) * together;
            out[i * together + c] =
                static_cast<Sample>((upper[one] + upper[next] + lower[one] + lower[next] + 2) >> 2);
        }
    }
}

/// 'plane' becomes the smaller one, in 'room'.
void shrink(SamplePlane& plane, const Shrink& by, int width, int height, std::vector<std::uint8_t>& room) {
    const std::ptrdiff_t stride = std::ptrdiff_t{width} * plane.together * plane.bytes;
    room.resize(static_cast<std::size_t>(stride * height));
    for (int y = 0; y < height; ++y) {
        const std::uint8_t* upper = plane.data + y * by.down * plane.stride;
        const std::uint8_t* lower = upper + (by.down - 1) * plane.stride;
        std::uint8_t* out = room.data() + y * stride;
        if (plane.bytes == 1)
            mean_row(upper, lower, width, plane.together, by.across, out);
        else
            mean_row(reinterpret_cast<const std::uint16_t*>(upper),
                     reinterpret_cast<const std::uint16_t*>(lower), width, plane.together, by.across,
                     reinterpret_cast<std::uint16_t*>(out));
    }
    plane.data = room.data();
    plane.stride = stride;
}

/// The colour samples' place in the smaller picture, whose luma sample n lies at 2 n + 1/2 in the larger one.
void halve_shift(int& shift, double& first_at) {
    if (shift == 0) return;
    first_at = --shift == 0 ? 0 : (first_at - 0.5) / 2;
}

}  // namespace

bool to_rgba_half(const Picture& picture, RgbaImage& into) {
    auto described = described_samples(picture);
    if (!described) {
        into = {};
        return false;
    }
    Samples& samples = described->samples;
    const Shrink luma{samples.width > 1 ? 2 : 1, samples.height > 1 ? 2 : 1};
    const Shrink colour{samples.shift_x > 0 ? 1 : luma.across, samples.shift_y > 0 ? 1 : luma.down};
    const int width = std::max(1, samples.width / 2), height = std::max(1, samples.height / 2);
    if (luma.across == 2) halve_shift(samples.shift_x, samples.chroma_x);
    if (luma.down == 2) halve_shift(samples.shift_y, samples.chroma_y);
    std::array<std::vector<std::uint8_t>, 3> rooms;
    for (int p = 0; p < samples.planes; ++p) {
        const auto n = static_cast<std::size_t>(p);
        SamplePlane& plane = samples.plane[n];
        const bool is_luma = samples.part[0].plane == p;
        const Shrink& by = is_luma ? luma : colour;
        // Of the colour samples as many as the smaller picture has places for.
        const auto places = [](int size, int shift, int there, int shrunk) {
            return std::min(((size - 1) >> shift) + 1, there / shrunk);
        };
        plane.width = is_luma ? width : places(width, samples.shift_x, plane.width, by.across);
        plane.height = is_luma ? height : places(height, samples.shift_y, plane.height, by.down);
        if (by.across == 2 || by.down == 2) shrink(plane, by, plane.width, plane.height, rooms[n]);
    }
    samples.width = width;
    samples.height = height;
    convert(samples, picture, Orientation::upright, into);
    return true;
}

}  // namespace plumbmark::media
