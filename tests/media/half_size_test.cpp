// Pictures at half their size against the means of the whole ones' pixels.
#include "media/half_size.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>

#include "support/made_picture.h"

using namespace plumbmark::media;
using namespace plumbmark::test;

namespace {

/// Luma of any numbers that no cutting touches, and colours that change by one in four pixels at most: over
/// the quarter of a pixel that they may lie aside that is nothing to see.
MadePicture calm_picture(AVPixelFormat format, int width, int height, const PictureTags& tags) {
    const auto* descriptor = av_pix_fmt_desc_get(format);
    const unsigned unit = 1U << (descriptor->comp[0].depth - 8);
    const bool rgb = (descriptor->flags & AV_PIX_FMT_FLAG_RGB) != 0;
    std::mt19937 random(2100);
    return make_picture(format, width, height, tags, [&](int part, int x, int y) {
        if (part == 0 || rgb) return (90 + static_cast<unsigned>(random() % 60)) * unit;
        const int across = x << descriptor->log2_chroma_w, down = y << descriptor->log2_chroma_h;
        return static_cast<unsigned>(part == 1 ? 120 + across / 4 : 134 - down / 4) * unit;
    });
}

/// The largest distance of any value from the mean of the four that it stands for.
double from_means(const RgbaImage& half, const RgbaImage& whole) {
    double most = 0;
    const auto at = [](const RgbaImage& image, int x, int y, int c) {
        return static_cast<double>(
            image.pixels[4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) +
                              static_cast<std::size_t>(x)) +
                         static_cast<std::size_t>(c)]);
    };
    for (int y = 0; y < half.height; ++y)
        for (int x = 0; x < half.width; ++x)
            for (int c = 0; c < 4; ++c) {
                const double mean = (at(whole, 2 * x, 2 * y, c) + at(whole, 2 * x + 1, 2 * y, c) +
                                     at(whole, 2 * x, 2 * y + 1, c) + at(whole, 2 * x + 1, 2 * y + 1, c)) /
                                    4;
                most = std::max(most, std::abs(at(half, x, y, c) - mean));
            }
    return most;
}

const AVPixelFormat kFormats[] = {AV_PIX_FMT_YUV420P,     AV_PIX_FMT_NV12,     AV_PIX_FMT_NV21,
                                  AV_PIX_FMT_YUV420P10LE, AV_PIX_FMT_P010LE,   AV_PIX_FMT_YUV422P,
                                  AV_PIX_FMT_YUV440P,     AV_PIX_FMT_YUV444P,  AV_PIX_FMT_NV24,
                                  AV_PIX_FMT_YUV444P12LE, AV_PIX_FMT_YUV411P,  AV_PIX_FMT_YUV410P,
                                  AV_PIX_FMT_GRAY8,       AV_PIX_FMT_GRAY10LE, AV_PIX_FMT_GBRP,
                                  AV_PIX_FMT_GBRP10LE,    AV_PIX_FMT_RGB24,    AV_PIX_FMT_UYVY422};

}  // namespace

TEST_CASE("a picture at half its size has the means of the whole one's pixels in each format") {
    for (const AVPixelFormat format : kFormats) {
        for (const auto& [width, height] : {std::pair{40, 24}, {39, 23}}) {
            INFO(av_get_pix_fmt_name(format) << ' ' << width << " x " << height);
            const MadePicture made = calm_picture(format, width, height, {AVCOL_SPC_BT709});
            RgbaImage half;
            REQUIRE(to_rgba_half(*made.picture, half));
            REQUIRE(half.width == width / 2);
            REQUIRE(half.height == height / 2);
            REQUIRE(half.pixels.size() == static_cast<std::size_t>(4 * half.width * half.height));
            CHECK(from_means(half, to_rgba(*made.picture)) <= 2);
        }
    }
}

TEST_CASE("a picture at half its size stands as the whole one does in each orientation") {
    RgbaImage half;  // its memory is used again
    for (const int turns : {0, 1, 2, 3}) {
        for (const bool mirrored : {false, true}) {
            INFO(turns << (mirrored ? " mirrored" : ""));
            PictureTags tags;
            tags.quarter_turns = turns;
            tags.mirrored = mirrored;
            const MadePicture made = calm_picture(AV_PIX_FMT_YUV420P, 48, 32, tags);
            REQUIRE(to_rgba_half(*made.picture, half));
            const RgbaImage whole = to_rgba(*made.picture);
            REQUIRE(2 * half.width == whole.width);
            REQUIRE(2 * half.height == whole.height);
            CHECK(from_means(half, whole) <= 2);
        }
    }
}

TEST_CASE("a line of pixels is halved along its length only") {
    for (const auto& [width, height] : {std::pair{1, 1}, {1, 8}, {9, 1}, {2, 2}, {3, 2}}) {
        for (const AVPixelFormat format : {AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV444P, AV_PIX_FMT_YUV410P}) {
            INFO(av_get_pix_fmt_name(format) << ' ' << width << " x " << height);
            const MadePicture made = make_picture(format, width, height, {},
                                                  [](int part, int, int) { return part == 0 ? 120U : 128U; });
            RgbaImage half;
            REQUIRE(to_rgba_half(*made.picture, half));
            CHECK(half.width == std::max(1, width / 2));
            CHECK(half.height == std::max(1, height / 2));
            const RgbaImage whole = to_rgba(*made.picture);
            for (std::size_t i = 0; i < half.pixels.size(); ++i)
                CHECK(half.pixels[i] == whole.pixels[i % 4]);
        }
    }
}

TEST_CASE("what cannot be converted has no half either") {
    // A hardware format: its samples lie elsewhere.
    auto native = std::make_unique<NativeFrame>();
    native->frame = new_frame();
    native->frame->format = AV_PIX_FMT_VAAPI;
    native->frame->width = 16;
    native->frame->height = 16;
    const Picture picture(std::move(native), 0, false, plumbmark::base::Rational{1, 1});
    RgbaImage half{4, 4, std::vector<std::uint8_t>(64)};
    CHECK_FALSE(to_rgba_half(picture, half));
    CHECK(half.pixels.empty());
    CHECK(to_rgba(picture).pixels.empty());
}
