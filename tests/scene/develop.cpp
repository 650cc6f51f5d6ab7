// From light to the picture the encoder gets: exposure, tone, lens shading, noise, colour planes.
#include <algorithm>
#include <array>

#include "frame.h"

namespace plumbmark::scene {
namespace {

constexpr int kToneSteps = 16384;
constexpr double kToneTop = 2.0;

// sRGB's curve (IEC 61966-2-1) with the brightest third rolled off, as cameras do.
std::array<float, kToneSteps + 1> tone_curve() {
    std::array<float, kToneSteps + 1> out{};
    for (int i = 0; i <= kToneSteps; ++i) {
        double x = kToneTop * i / kToneSteps;
        if (x > 0.62) x = 0.62 + 0.38 * (1 - exponential(-(x - 0.62) / 0.38));
        const double v = x <= 0.0031308 ? 12.92 * x : 1.055 * power(x, 1 / 2.4) - 0.055;
        out[static_cast<std::size_t>(i)] = static_cast<float>(v);
    }
    return out;
}

float toned(float light) {
    static const auto kCurve = tone_curve();
    const float place = std::min(std::max(light, 0.0F) * static_cast<float>(kToneSteps / kToneTop),
                                 static_cast<float>(kToneSteps));
    return kCurve[static_cast<std::size_t>(place)];
}

// Nearly Gaussian, standard deviation 1: the sum of four bytes.
float bell(std::uint32_t bits) {
    const auto sum = static_cast<int>((bits & 255) + (bits >> 8 & 255) + (bits >> 16 & 255) + (bits >> 24));
    return static_cast<float>(sum - 510) * (1.0F / 147.8F);
}

std::uint8_t code(float v) {
    return static_cast<std::uint8_t>(std::min(std::max(v + 0.5F, 16.0F), 240.0F));
}

struct Colour {
    float y, u, v;
};

// BT.709 matrix.
Colour coded(const float* light, float gain) {
    const float r = toned(light[0] * gain);
    const float g = toned(light[1] * gain);
    const float b = toned(light[2] * gain);
    const float y = 0.2126F * r + 0.7152F * g + 0.0722F * b;
    return {16.0F + 219.0F * y, (b - y) * (224.0F / 1.8556F), (r - y) * (224.0F / 1.5748F)};
}

}  // namespace

Picture developed(const std::vector<float>& light, int width, int height, double exposure, double noise,
                  std::uint64_t key) {
    Picture out;
    out.width = width;
    out.height = height;
    const auto w = static_cast<std::size_t>(width);
    const auto h = static_cast<std::size_t>(height);
    out.y.resize(w * h);
    out.u.resize(w * h / 4);
    out.v.resize(w * h / 4);
    const auto strength = static_cast<float>(noise);
    const double reach2 = 0.25 * (width * width + height * height);
    for (std::size_t by = 0; by < h / 2; ++by) {
        for (std::size_t bx = 0; bx < w / 2; ++bx) {
            // Lens shading: a quarter of a stop in the corners.
            const double cx = 2.0 * static_cast<double>(bx) + 1 - width * 0.5;
            const double cy = 2.0 * static_cast<double>(by) + 1 - height * 0.5;
            const auto gain = static_cast<float>(exposure * (1 - 0.16 * (cx * cx + cy * cy) / reach2));
            const std::uint64_t block = key + by * w + bx;
            const std::uint64_t first = mixed(block);
            const std::uint64_t second = mixed(block ^ 0xD1B54A32D192ED03U);
            const std::array<std::uint32_t, 4> bits{
                static_cast<std::uint32_t>(first), static_cast<std::uint32_t>(first >> 32),
                static_cast<std::uint32_t>(second), static_cast<std::uint32_t>(second >> 32)};
            float u = 0;
            float v = 0;
            for (std::size_t i = 0; i < 4; ++i) {
                const std::size_t pixel = (2 * by + i / 2) * w + 2 * bx + i % 2;
                const Colour c = coded(&light[3 * pixel], gain);
                // Photon noise, after the tone curve, is a little stronger in the dark.
                const float sigma = strength * (1.25F - 0.002F * c.y);
                out.y[pixel] = code(c.y + sigma * bell(bits[i]));
                u += c.u;
                v += c.v;
            }
            const std::size_t at = by * (w / 2) + bx;
            out.u[at] = code(128.0F + 0.25F * u + 0.4F * strength * bell(bits[0] ^ (bits[3] >> 3)));
            out.v[at] = code(128.0F + 0.25F * v + 0.4F * strength * bell(bits[1] ^ (bits[2] >> 5)));
        }
    }
    return out;
}

namespace {

std::vector<std::uint8_t> turned_plane(const std::vector<std::uint8_t>& plane, std::size_t width,
                                       std::size_t height) {
    std::vector<std::uint8_t> out(plane.size());
    // Out: height wide, width high. A quarter turn clockwise takes (x, y) of 'out' to (width - 1 - y, x).
    for (std::size_t y = 0; y < width; ++y)
        for (std::size_t x = 0; x < height; ++x)
            out[y * height + x] = plane[x * width + (width - 1 - y)];
    return out;
}

}  // namespace

Picture turned_for_sensor(const Picture& displayed) {
    const auto w = static_cast<std::size_t>(displayed.width);
    const auto h = static_cast<std::size_t>(displayed.height);
    return {displayed.height, displayed.width, turned_plane(displayed.y, w, h),
            turned_plane(displayed.u, w / 2, h / 2), turned_plane(displayed.v, w / 2, h / 2)};
}

}  // namespace plumbmark::scene
