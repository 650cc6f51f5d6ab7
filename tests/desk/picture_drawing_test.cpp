// Magnified pictures on the screen, in a GL context without a window.
#include "desk/internal/picture_drawing.h"

#include <catch2/catch.hpp>
#include <set>
#include <thread>

#include "desk/screen.h"
#include "support/made_picture.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using namespace plumbmark::test;

namespace {

constexpr int kWide = 12, kHigh = 8, kScreen = 128;

/// Drawn 'times' as large from the top left on, every screen pixel is one of the picture's own colours, and
/// the right one.
bool shows_real_pixels(const media::RgbaImage& screen, const media::RgbaImage& picture, int times) {
    for (int y = 0; y < picture.height * times; ++y)
        for (int x = 0; x < picture.width * times; ++x)
            for (int part = 0; part < 3; ++part)
                if (std::abs(int{pixel(screen, x, y)[part]} -
                             int{pixel(picture, x / times, y / times)[part]}) > 1)
                    return false;
    return true;
}

}  // namespace

TEST_CASE("magnified more than twice a picture shows its real pixels, else it is smooth, by both ways") {
    const auto screen = screen_or_skip(kScreen);
    if (!screen) return;
    PictureTags tags;
    tags.matrix = AVCOL_SPC_BT709;
    tags.range = AVCOL_RANGE_MPEG;
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV444P, kWide, kHigh, tags);
    const media::RgbaImage exact = media::to_rgba(*made.picture);
    for (const PictureWay way : {PictureWay::card, PictureWay::processor}) {
        PictureTextures textures;
        textures.take_way(way);
        while (!textures.can_show(made.picture))
            std::this_thread::yield();
        const Texture* texture = textures.get(made.picture);
        REQUIRE(texture);
        const auto at = [&](ImDrawList* list, ImVec2 from, float times) {
            add_picture(list, *texture, from, {from.x + kWide * times, from.y + kHigh * times});
        };
        for (const int times : {1, 2, 3, 4, 9}) {
            INFO((way == PictureWay::card ? "card" : "processor") << ", " << times << " times");
            const auto shown = screen->drawn([&](ImDrawList* list) {
                at(list, {0, 0}, static_cast<float>(times));
            });
            // At its own size the two are the same; at twice it is still smooth.
            CHECK(shows_real_pixels(shown, exact, times) == (times != 2));
        }
        // One picture at two sizes in one drawing: each has its own way.
        for (const bool large_first : {true, false}) {
            const auto both = screen->drawn([&](ImDrawList* list) {
                if (large_first) at(list, {0, 0}, 5);
                at(list, {70, 50}, 1.5F);
                if (!large_first) at(list, {0, 0}, 5);
            });
            CHECK(shows_real_pixels(both, exact, 5));
            std::set<std::array<int, 3>> own, small;
            for (std::size_t i = 0; i < exact.pixels.size(); i += 4)
                own.insert({exact.pixels[i], exact.pixels[i + 1], exact.pixels[i + 2]});
            int strange = 0;
            for (int y = 50; y < 50 + kHigh * 3 / 2; ++y)
                for (int x = 70; x < 70 + kWide * 3 / 2; ++x)
                    if (const auto* p = pixel(both, x, y); !own.contains({p[0], p[1], p[2]})) ++strange;
            CHECK(strange > 20);
        }
    }
}

TEST_CASE("a part of a picture is magnified by the same rule, whatever the window's pixels are") {
    const auto screen = screen_or_skip(kScreen);
    if (!screen) return;
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV444P, 40, 40, {});
    const media::RgbaImage exact = media::to_rgba(*made.picture);
    PictureTextures textures;
    textures.take_way(PictureWay::processor);
    while (!textures.can_show(made.picture))
        std::this_thread::yield();
    const Texture& texture = *textures.get(made.picture);
    // Ten by ten pixels from (20, 10) on, on 40 by 40 of the screen.
    const auto shown = screen->drawn([&](ImDrawList* list) {
        add_picture(list, texture, {0, 0}, {40, 40}, {0.5F, 0.25F}, {0.75F, 0.5F});
    });
    media::RgbaImage part{10, 10, {}};
    for (int y = 0; y < 10; ++y)
        part.pixels.insert(part.pixels.end(), pixel(exact, 20, 10 + y), pixel(exact, 20, 10 + y) + 40);
    CHECK(shows_real_pixels(shown, part, 4));
}
