// Pictures shown brighter or with more contrast.
#include <catch2/catch.hpp>
#include <cmath>
#include <thread>

#include "desk/internal/picture_drawing.h"
#include "desk/screen.h"
#include "support/made_picture.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using namespace plumbmark::test;

TEST_CASE("a tone changes each value as it says, keeps black and white, and nothing is lost with none") {
    CHECK(toned(0.3, {}) == Approx(0.3));
    CHECK(toned(0.25, {4, 0}) == Approx(0.5));  // to the power of a half
    CHECK(toned(0.25, {0, 4}) == Approx(0.0));  // twice as far from the middle
    CHECK(toned(0.6, {0, 4}) == Approx(0.7));
    for (int step = -Tone::kMost; step <= Tone::kMost; ++step) {
        CHECK(toned(0, {step, 0}) == 0);
        CHECK(toned(1, {step, 0}) == 1);
    }
}

TEST_CASE("what is drawn through a tone has it on the screen, and what comes after it does not") {
    constexpr int kSide = 64, kWide = 24, kHigh = 16;
    const auto screen = screen_or_skip(kSide);
    if (!screen) return;
    PictureTags tags;
    tags.matrix = AVCOL_SPC_BT709;
    tags.range = AVCOL_RANGE_MPEG;
    const MadePicture made = noise_picture(AV_PIX_FMT_YUV444P, kWide, kHigh, tags);
    const media::RgbaImage exact = media::to_rgba(*made.picture);
    PictureTextures textures;
    textures.take_way(PictureWay::processor);
    while (!textures.can_show(made.picture))
        std::this_thread::yield();
    const Texture* texture = textures.get(made.picture);
    REQUIRE(texture);
    for (const Tone tone : {Tone{}, Tone{3, 0}, Tone{-8, 0}, Tone{0, 5}, Tone{6, -4}}) {
        INFO(tone.brightness << " " << tone.contrast);
        const auto shown = screen->drawn([&](ImDrawList* list) {
            textures.tones().begin(list, tone);
            add_picture(list, *texture, {0, 0}, {kWide, kHigh});
            textures.tones().end(list, tone);
            add_picture(list, *texture, {0, 32}, {kWide, 32 + kHigh});
        });
        int wrong = 0, changed_after = 0;
        for (int y = 0; y < kHigh; ++y)
            for (int x = 0; x < kWide; ++x)
                for (int part = 0; part < 3; ++part) {
                    const int was = pixel(exact, x, y)[part];
                    const double wanted = 255 * toned(was / 255.0, tone);
                    wrong += std::abs(pixel(shown, x, y)[part] - wanted) > 1.6 ? 1 : 0;
                    changed_after += std::abs(pixel(shown, x, 32 + y)[part] - was) > 1 ? 1 : 0;
                }
        CHECK(wrong == 0);
        CHECK(changed_after == 0);
    }
}
