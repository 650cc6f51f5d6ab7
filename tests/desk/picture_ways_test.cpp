// Pictures by a shader and by the processor, in a GL context without a window: the same colours.
#define GL_GLEXT_PROTOTYPES
#include <GL/gl.h>
#include <GL/glext.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <thread>

#include "desk/internal/gl_canvas.h"
#include "desk/internal/textures.h"
#include "support/made_picture.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using namespace plumbmark::test;

namespace {

std::unique_ptr<GlCanvas> canvas_or_skip() {
    auto canvas = GlCanvas::create(64, 64);
    if (canvas) return std::move(*canvas);
    std::cout << "skipped: " << canvas.error().text() << "\n";
    return nullptr;
}

media::RgbaImage level(const Texture& texture, int number = 0) {
    media::RgbaImage image{
        std::max(1, texture.width() >> number), std::max(1, texture.height() >> number), {}};
    image.pixels.resize(4 * static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height));
    glBindTexture(GL_TEXTURE_2D, texture.name());
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glGetTexImage(GL_TEXTURE_2D, number, GL_RGBA, GL_UNSIGNED_BYTE, image.pixels.data());
    glBindTexture(GL_TEXTURE_2D, 0);
    return image;
}

struct Apart {
    int most = 0;
    double share = 0;  // of all values, that are not the same
};

Apart apart(const media::RgbaImage& a, const media::RgbaImage& b) {
    REQUIRE(a.width == b.width);
    REQUIRE(a.height == b.height);
    Apart result;
    for (std::size_t i = 0; i < a.pixels.size(); ++i) {
        const int difference = std::abs(int{a.pixels[i]} - int{b.pixels[i]});
        result.most = std::max(result.most, difference);
        result.share += difference > 0 ? 1.0 / static_cast<double>(a.pixels.size()) : 0;
    }
    return result;
}

// Both ways draw it; the card must not have handed it to the processor.
Apart ways_apart(PictureShader& shader, const media::Picture& picture) {
    Texture texture;
    texture.reserve(picture.upright_width(), picture.upright_height());
    REQUIRE(shader.draw(picture, texture.name()));
    return apart(level(texture), media::to_rgba(picture));
}

PictureTags tags_of(AVColorSpace matrix, bool full) {
    PictureTags tags;
    tags.matrix = matrix;
    tags.range = full ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
    return tags;
}

const AVPixelFormat kFormats[] = {
    AV_PIX_FMT_YUV420P,     AV_PIX_FMT_YUV422P,     AV_PIX_FMT_YUV444P,     AV_PIX_FMT_YUV440P,
    AV_PIX_FMT_YUV411P,     AV_PIX_FMT_YUV410P,     AV_PIX_FMT_YUV420P10LE, AV_PIX_FMT_YUV422P10LE,
    AV_PIX_FMT_YUV444P10LE, AV_PIX_FMT_YUV420P12LE, AV_PIX_FMT_YUV422P12LE, AV_PIX_FMT_YUV444P12LE,
    AV_PIX_FMT_GRAY8,       AV_PIX_FMT_GRAY10LE,    AV_PIX_FMT_NV12,        AV_PIX_FMT_NV21,
    AV_PIX_FMT_P010LE,      AV_PIX_FMT_GBRP,        AV_PIX_FMT_GBRP10LE,    AV_PIX_FMT_GBRP12LE};

// Waits until it is made.
const Texture* texture_of(PictureTextures& textures, const std::shared_ptr<const media::Picture>& picture) {
    while (!textures.can_show(picture))
        std::this_thread::yield();
    return textures.get(picture);
}

// A tie of rounding can fall either way in single precision, and weights of few digits (FCC's) have some;
// many would be another formula.
constexpr double kMostOff = 0.003;

}  // namespace

TEST_CASE("card and processor show every format, matrix and range within one code value") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureShader shader;
    for (const AVPixelFormat format : kFormats) {
        for (const AVColorSpace matrix :
             {AVCOL_SPC_SMPTE170M, AVCOL_SPC_BT709, AVCOL_SPC_BT2020_NCL, AVCOL_SPC_SMPTE240M, AVCOL_SPC_FCC,
              AVCOL_SPC_YCGCO, AVCOL_SPC_UNSPECIFIED}) {
            for (const bool full : {false, true}) {
                const MadePicture made = noise_picture(format, 71, 43, tags_of(matrix, full));
                const Apart found = ways_apart(shader, *made.picture);
                INFO(made.picture->format() << " matrix " << matrix << (full ? " full" : " limited")
                                            << " share off " << found.share);
                CHECK(found.most <= 1);
                // YCgCo's matrix is of whole numbers, so that interpolated values often are ties.
                if (matrix != AVCOL_SPC_YCGCO) CHECK(found.share <= kMostOff);
            }
        }
    }
}

TEST_CASE("card and processor take colour samples from the same places") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureShader shader;
    for (const AVPixelFormat format : {AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV422P, AV_PIX_FMT_NV12}) {
        for (int site = AVCHROMA_LOC_UNSPECIFIED; site <= AVCHROMA_LOC_BOTTOM; ++site) {
            PictureTags tags = tags_of(AVCOL_SPC_BT709, false);
            tags.site = static_cast<AVChromaLocation>(site);
            const MadePicture made = noise_picture(format, 71, 43, tags);
            INFO(made.picture->format() << " site " << site);
            const Apart found = ways_apart(shader, *made.picture);
            CHECK(found.most <= 1);
            CHECK(found.share <= kMostOff);
        }
    }
}

TEST_CASE("card and processor turn and mirror alike") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureShader shader;
    for (const AVPixelFormat format : {AV_PIX_FMT_YUV420P, AV_PIX_FMT_GBRP}) {
        for (int turns = 0; turns < 4; ++turns) {
            for (const bool mirrored : {false, true}) {
                PictureTags tags = tags_of(AVCOL_SPC_BT709, false);
                tags.quarter_turns = turns;
                tags.mirrored = mirrored;
                const MadePicture made = noise_picture(format, 51, 20, tags);
                INFO(turns << (mirrored ? " mirrored" : ""));
                CHECK(ways_apart(shader, *made.picture).most <= 1);
            }
        }
    }
}

TEST_CASE("card and processor bring HLG and PQ to the same SDR") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureShader shader;
    for (const AVPixelFormat format : {AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV420P10LE, AV_PIX_FMT_GBRP10LE}) {
        for (const auto transfer : {AVCOL_TRC_ARIB_STD_B67, AVCOL_TRC_SMPTE2084}) {
            for (const auto primaries : {AVCOL_PRI_BT2020, AVCOL_PRI_SMPTE432, AVCOL_PRI_BT709}) {
                PictureTags tags = tags_of(AVCOL_SPC_BT2020_NCL, false);
                tags.transfer = transfer;
                tags.primaries = primaries;
                const MadePicture made = noise_picture(format, 128, 96, tags);
                const Apart found = ways_apart(shader, *made.picture);
                INFO(made.picture->format() << " " << transfer << " " << primaries << " off " << found.share);
                CHECK(found.most <= 1);
                CHECK(found.share <= 0.01);
            }
        }
    }
}

TEST_CASE("the card hands what it cannot take as it lies to the processor") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureTextures textures;
    textures.take_way(PictureWay::card);
    for (const AVPixelFormat format : {AV_PIX_FMT_YUYV422, AV_PIX_FMT_RGB24, AV_PIX_FMT_YUV420P10BE}) {
        const MadePicture made = noise_picture(format, 30, 20, tags_of(AVCOL_SPC_BT709, false));
        PictureShader shader;
        Texture untouched;
        untouched.reserve(30, 20);
        CHECK_FALSE(shader.draw(*made.picture, untouched.name()));
        const Texture* texture = texture_of(textures, made.picture);
        REQUIRE(texture);
        CHECK(level(*texture) == media::to_rgba(*made.picture));
    }
}

TEST_CASE("pictures of changing sizes share the card's memory without mixing") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureTextures textures;
    textures.take_way(PictureWay::card);
    for (int i = 0; i < 40; ++i) {
        const AVPixelFormat format = kFormats[static_cast<std::size_t>(i) % std::size(kFormats)];
        const MadePicture made =
            noise_picture(format, 20 + 7 * (i % 5), 30 + 3 * (i % 3), tags_of(AVCOL_SPC_BT709, false));
        const Texture* texture = texture_of(textures, made.picture);
        REQUIRE(texture);
        CHECK(textures.get(made.picture) == texture);
        CHECK(apart(level(*texture), media::to_rgba(*made.picture)).most <= 1);
    }
}

TEST_CASE("the smaller levels are means, by both ways") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV444P, 96, 64, tags_of(AVCOL_SPC_BT709, false));
    const media::RgbaImage whole = media::to_rgba(*made.picture);
    for (const PictureWay way : {PictureWay::card, PictureWay::processor}) {
        PictureTextures textures;
        textures.take_way(way);
        const Texture* texture = texture_of(textures, made.picture);
        REQUIRE(texture);
        for (int number = 1; number <= kSmallerLevels; ++number) {
            const media::RgbaImage small = level(*texture, number);
            const int side = 1 << number;
            double worst = 0;
            for (int y = 0; y < small.height; ++y) {
                for (int x = 0; x < small.width; ++x) {
                    double sum = 0;
                    for (int i = 0; i < side * side; ++i)
                        sum += whole.pixels[static_cast<std::size_t>(
                            4 * ((y * side + i / side) * whole.width + x * side + i % side))];
                    worst = std::max(
                        worst, std::abs(small.pixels[static_cast<std::size_t>(4 * (y * small.width + x))] -
                                        sum / (side * side)));
                }
            }
            INFO("level " << number);
            // Each level rounds once more; how a card does is its own affair (OpenGL 3.0, 3.9.7).
            CHECK(worst <= (way == PictureWay::processor ? 0.5 * number : 1.0 * number));
        }
    }
}

TEST_CASE("what differs between two pictures is the same by both ways") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    const PictureTags tags = tags_of(AVCOL_SPC_BT709, false);
    const MadePicture a =
        make_picture(AV_PIX_FMT_YUV420P, 64, 48, tags, [](int, int x, int y) { return x + y; });
    const MadePicture b =
        make_picture(AV_PIX_FMT_YUV420P, 64, 48, tags, [](int, int x, int y) { return x + 2 * y; });
    const media::RgbaImage first = media::to_rgba(*a.picture), second = media::to_rgba(*b.picture);
    for (const PictureWay way : {PictureWay::card, PictureWay::processor}) {
        PictureTextures textures;
        textures.take_way(way);
        REQUIRE(texture_of(textures, a.picture));
        REQUIRE(texture_of(textures, b.picture));
        const Texture* texture = textures.difference(a.picture, b.picture);
        REQUIRE(texture);
        const media::RgbaImage shown = level(*texture);
        int worst = 0;
        for (std::size_t i = 0; i < shown.pixels.size(); ++i) {
            const int exact =
                i % 4 == 3 ? 255 : std::min(255, 4 * std::abs(int{first.pixels[i]} - int{second.pixels[i]}));
            worst = std::max(worst, std::abs(int{shown.pixels[i]} - exact));
        }
        CHECK(worst <= (way == PictureWay::processor ? 0 : 8));  // a code value in each, four times stronger
        const MadePicture other = noise_picture(AV_PIX_FMT_YUV420P, 32, 48, tags);
        CHECK(textures.difference(a.picture, other.picture) == nullptr);
    }
}

TEST_CASE("making pictures leaves what was bound as it was") {
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    canvas->begin();
    glEnable(GL_BLEND);
    GLint before = 0, after = 0, viewport[4];
    glGetIntegerv(GL_FRAMEBUFFER_BINDING, &before);
    PictureTextures textures;
    textures.take_way(PictureWay::card);
    REQUIRE(textures.get(noise_picture(AV_PIX_FMT_YUV420P, 90, 30, {}).picture));
    glGetIntegerv(GL_FRAMEBUFFER_BINDING, &after);
    glGetIntegerv(GL_VIEWPORT, viewport);
    CHECK(before == after);
    CHECK(viewport[2] == 64);
    CHECK(viewport[3] == 64);
    CHECK(glIsEnabled(GL_BLEND));
    CHECK(glGetError() == GL_NO_ERROR);
}

TEST_CASE("the way is chosen by name and by the renderer") {
    CHECK(picture_way(nullptr, "").value() == PictureWay::automatic);
    CHECK(picture_way("card", "").value() == PictureWay::card);
    CHECK(picture_way("processor", "").value() == PictureWay::processor);
    const auto wrong = picture_way("gpu", "PLUMBMARK_PICTURES");
    REQUIRE_FALSE(wrong);
    CHECK(wrong.error().text() ==
          "PLUMBMARK_PICTURES: Pictures are made on the 'card' or the 'processor', or left 'automatic', not "
          "'gpu'.");
    const auto canvas = canvas_or_skip();
    if (!canvas) return;
    PictureTextures textures;
    REQUIRE(texture_of(textures, noise_picture(AV_PIX_FMT_YUV420P, 320, 240, {}).picture));
    CHECK(textures.way() == (draws_in_software() ? PictureWay::processor : PictureWay::card));
}
