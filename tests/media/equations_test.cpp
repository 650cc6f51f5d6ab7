// Every pixel of pictures of known samples against the standards' own equations, in double precision.
#include <catch2/catch.hpp>
#include <cmath>

#include "media/colour.h"
#include "support/made_picture.h"

using namespace plumbmark::media;
using namespace plumbmark::test;

namespace {

struct Matrix {
    const char* name;
    AVColorSpace tag;
    double kr, kb;
};

// ITU-R BT.601-7 (2.5.1), BT.709-6 (3.2), BT.2020-2 (table 4), SMPTE 240M and FCC Title 47 as in ITU-T H.273
// (table 4, items 7 and 4).
const Matrix kMatrices[] = {
    {"601", AVCOL_SPC_SMPTE170M, 0.299, 0.114},       {"601 (625 lines)", AVCOL_SPC_BT470BG, 0.299, 0.114},
    {"709", AVCOL_SPC_BT709, 0.2126, 0.0722},         {"2020", AVCOL_SPC_BT2020_NCL, 0.2627, 0.0593},
    {"240M", AVCOL_SPC_SMPTE240M, 0.212, 0.087},      {"FCC", AVCOL_SPC_FCC, 0.30, 0.11},
    {"untagged", AVCOL_SPC_UNSPECIFIED, 0.299, 0.114}};

// Where the first colour sample lies among luma samples of 4:2:0 (H.273, figure 10); the scheme of H.264.
struct Site {
    const char* name;
    AVChromaLocation tag;
    double x, y;
};
const Site kSites[] = {{"left", AVCHROMA_LOC_LEFT, 0, 0.5},
                       {"centre", AVCHROMA_LOC_CENTER, 0.5, 0.5},
                       {"top left", AVCHROMA_LOC_TOPLEFT, 0, 0},
                       {"top", AVCHROMA_LOC_TOP, 0.5, 0},
                       {"bottom left", AVCHROMA_LOC_BOTTOMLEFT, 0, 1},
                       {"bottom", AVCHROMA_LOC_BOTTOM, 0.5, 1}};

double between(const Component& part, double x, double y) {
    const int left = static_cast<int>(std::floor(x)), top = static_cast<int>(std::floor(y));
    const double right_share = x - left, low_share = y - top;
    return (1 - low_share) * ((1 - right_share) * part.at(left, top) + right_share * part.at(left + 1, top)) +
           low_share *
               ((1 - right_share) * part.at(left, top + 1) + right_share * part.at(left + 1, top + 1));
}

using Triple = std::array<double, 3>;

// R'G'B' times 255, not rounded. first_x, first_y: the place of colour sample (0, 0).
Triple by_the_equations(const MadePicture& made, int x, int y, const Matrix& matrix, bool full,
                        double first_x, double first_y) {
    const double unit = std::exp2(made.bits - 8), most = std::exp2(made.bits) - 1;
    const auto cut = [](double v) { return 255 * std::min(1.0, std::max(0.0, v)); };
    if (made.rgb)
        return {255 * made.parts[0].at(x, y) / most, 255 * made.parts[1].at(x, y) / most,
                255 * made.parts[2].at(x, y) / most};
    const double luma =
        full ? made.parts[0].at(x, y) / most : (made.parts[0].at(x, y) - 16 * unit) / (219 * unit);
    if (made.parts_count == 1) return {cut(luma), cut(luma), cut(luma)};
    const auto colour = [&](int c) {
        const double value =
            between(made.parts[static_cast<std::size_t>(c)], (x - first_x) / (1 << made.shift_x),
                    (y - first_y) / (1 << made.shift_y));
        return (value - 128 * unit) / (full ? most : 224 * unit);
    };
    const double red = luma + 2 * (1 - matrix.kr) * colour(2), blue = luma + 2 * (1 - matrix.kb) * colour(1);
    const double green = (luma - matrix.kr * red - matrix.kb * blue) / (1 - matrix.kr - matrix.kb);
    return {cut(red), cut(green), cut(blue)};
}

// The largest distance of any part of any pixel from the equations.
double worst(const MadePicture& made, const Matrix& matrix, bool full, double first_x, double first_y) {
    const RgbaImage image = to_rgba(*made.picture);
    REQUIRE(image.pixels.size() == 4U * static_cast<std::size_t>(made.picture->width()) *
                                       static_cast<std::size_t>(made.picture->height()));
    double result = 0;
    std::size_t i = 0;
    for (int y = 0; y < image.height; ++y) {
        for (int x = 0; x < image.width; ++x, i += 4) {
            const Triple exact = by_the_equations(made, x, y, matrix, full, first_x, first_y);
            for (std::size_t c = 0; c < 3; ++c)
                result = std::max(result, std::abs(image.pixels[i + c] - exact[c]));
            if (image.pixels[i + 3] != 255) result = 1000;
        }
    }
    return result;
}

// Half a code value is what rounding takes.
constexpr double kBound = 0.51;

// The default place along an axis with fewer colour samples: at the first luma sample or in the middle.
double middle(int shift) {
    return ((1 << shift) - 1) / 2.0;
}

}  // namespace

TEST_CASE("each pixel of each format follows the equations of its matrix and range") {
    for (const AVPixelFormat format :
         {AV_PIX_FMT_YUV420P,     AV_PIX_FMT_YUV422P,     AV_PIX_FMT_YUV444P,     AV_PIX_FMT_YUV440P,
          AV_PIX_FMT_YUV411P,     AV_PIX_FMT_YUV410P,     AV_PIX_FMT_YUVA420P,    AV_PIX_FMT_YUV420P10LE,
          AV_PIX_FMT_YUV422P10LE, AV_PIX_FMT_YUV444P10LE, AV_PIX_FMT_YUV420P12LE, AV_PIX_FMT_YUV422P12LE,
          AV_PIX_FMT_YUV444P12LE, AV_PIX_FMT_YUV444P16LE, AV_PIX_FMT_GRAY8,       AV_PIX_FMT_GRAY10LE,
          AV_PIX_FMT_GRAY12LE,    AV_PIX_FMT_NV12,        AV_PIX_FMT_NV21,        AV_PIX_FMT_NV16,
          AV_PIX_FMT_P010LE,      AV_PIX_FMT_GBRP,        AV_PIX_FMT_GBRP10LE,    AV_PIX_FMT_GBRP12LE,
          AV_PIX_FMT_GBRAP}) {
        for (const Matrix& matrix : kMatrices) {
            for (const bool full : {false, true}) {
                PictureTags tags;
                tags.matrix = matrix.tag;
                tags.range = full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
                const MadePicture made = noise_picture(format, 39, 23, tags);
                INFO(made.picture->format() << " " << matrix.name << (full ? " full" : " limited"));
                REQUIRE(samples_of(*made.picture).has_value());
                CHECK(worst(made, matrix, full, full ? middle(made.shift_x) : 0, middle(made.shift_y)) <=
                      kBound);
            }
        }
    }
}

TEST_CASE("colour samples are taken from where the file says that they lie") {
    for (const AVPixelFormat format : {AV_PIX_FMT_YUV420P, AV_PIX_FMT_NV12, AV_PIX_FMT_YUV420P10LE}) {
        for (const Site& site : kSites) {
            for (const bool full : {false, true}) {
                PictureTags tags;
                tags.site = site.tag;
                tags.matrix = AVCOL_SPC_BT709;
                tags.range = full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
                const MadePicture made = noise_picture(format, 40, 22, tags);
                INFO(made.picture->format() << " " << site.name);
                CHECK(worst(made, kMatrices[2], full, site.x, site.y) <= kBound);
                // The check tells places apart.
                CHECK(worst(made, kMatrices[2], full, site.x + 0.25, site.y) > 5);
            }
        }
    }
}

TEST_CASE("packed formats and the other byte order have the same colours") {
    for (const AVPixelFormat format :
         {AV_PIX_FMT_YUYV422, AV_PIX_FMT_UYVY422, AV_PIX_FMT_YUV420P10BE, AV_PIX_FMT_RGB24, AV_PIX_FMT_BGR24,
          AV_PIX_FMT_RGBA, AV_PIX_FMT_BGR0}) {
        PictureTags tags;
        tags.matrix = AVCOL_SPC_BT709;
        tags.range = AVCOL_RANGE_MPEG;
        const MadePicture made = noise_picture(format, 40, 22, tags);
        INFO(made.picture->format());
        CHECK_FALSE(samples_of(*made.picture).has_value());
        CHECK(worst(made, kMatrices[2], false, 0, middle(made.shift_y)) <= kBound);
    }
}

TEST_CASE("what the file does not say is taken by the stated rules") {
    struct Case {
        AVPixelFormat format;
        int height;
        bool full;
        double first_x, kr, kb;
    };
    for (const Case& c : {Case{AV_PIX_FMT_YUV420P, 718, false, 0, 0.299, 0.114},
                          {AV_PIX_FMT_YUV420P, 720, false, 0, 0.2126, 0.0722},
                          {AV_PIX_FMT_YUVJ420P, 48, true, 0.5, 0.299, 0.114},
                          {AV_PIX_FMT_YUVJ420P, 720, true, 0.5, 0.2126, 0.0722}}) {
        const MadePicture made = noise_picture(c.format, 16, c.height, {});
        INFO(made.picture->format() << " " << c.height);
        CHECK(worst(made, {"", AVCOL_SPC_UNSPECIFIED, c.kr, c.kb}, c.full, c.first_x, 0.5) <= kBound);
    }
}

TEST_CASE("YCgCo follows ITU-T H.273, equations for item 8") {
    PictureTags tags;
    tags.matrix = AVCOL_SPC_YCGCO;
    tags.range = AVCOL_RANGE_JPEG;
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV444P, 32, 16, tags);
    const RgbaImage image = to_rgba(*made.picture);
    for (int i = 0; i < 32 * 16; ++i) {
        const double y = made.parts[0].at(i % 32, i / 32), cg = made.parts[1].at(i % 32, i / 32) - 128,
                     co = made.parts[2].at(i % 32, i / 32) - 128;
        const double exact[3] = {y - cg + co, y + cg, y - cg - co};
        for (std::size_t c = 0; c < 3; ++c)
            CHECK(image.pixels[static_cast<std::size_t>(4 * i) + c] ==
                  std::min(255.0, std::max(0.0, exact[c])));
    }
}

TEST_CASE("large pictures, which several threads share, and small ones are alike") {
    PictureTags tags;
    tags.matrix = AVCOL_SPC_BT709;
    tags.range = AVCOL_RANGE_MPEG;
    CHECK(worst(noise_picture(AV_PIX_FMT_YUV420P, 1283, 941, tags), kMatrices[2], false, 0, 0.5) <= kBound);
    CHECK(worst(noise_picture(AV_PIX_FMT_YUV420P, 1, 1, tags), kMatrices[2], false, 0, 0.5) <= kBound);
    CHECK(worst(noise_picture(AV_PIX_FMT_YUV420P, 3, 2, tags), kMatrices[2], false, 0, 0.5) <= kBound);
}

TEST_CASE("an image is used again for the next picture, and emptied when nothing can be shown") {
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV420P, 64, 48, {});
    RgbaImage image;
    REQUIRE(to_rgba(*made.picture, Orientation::upright, image));
    const std::uint8_t* memory = image.pixels.data();
    const RgbaImage first = image;
    std::fill(image.pixels.begin(), image.pixels.end(), std::uint8_t{1});
    REQUIRE(to_rgba(*made.picture, Orientation::upright, image));
    CHECK(image.pixels.data() == memory);
    CHECK(image == first);
}
