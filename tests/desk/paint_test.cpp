// Boxes that are cleared instead of drawn: pixel for pixel what triangles would have drawn.
#include "desk/internal/paint.h"

#include "desk/screen.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

constexpr int kSide = 64;
constexpr Colour kSea = rgb(0x1F5F7F), kSand = rgb(0xD9C08A);

int pixels_of(const media::RgbaImage& image, Colour colour) {
    int count = 0;
    for (std::size_t i = 0; i < image.pixels.size(); i += 4)
        count +=
            image.pixels[i] == colour.r && image.pixels[i + 1] == colour.g && image.pixels[i + 2] == colour.b
                ? 1
                : 0;
    return count;
}

}  // namespace

TEST_CASE("a filled box covers the pixels that a rectangle of triangles covers, at every size and place") {
    const auto screen = test::screen_or_skip(kSide);
    if (!screen) return;
    // No edge lies on the middle of a pixel: whose pixel that is, OpenGL leaves open.
    for (const float scale : {1.0F, 0.5F}) {
        ImGui::GetIO().DisplayFramebufferScale = {scale, scale};
        ImGui::GetIO().DisplaySize = {kSide / scale, kSide / scale};
        for (const Box box : {Box{4, 6, 20, 12}, Box{0, 0, kSide, kSide}, Box{3.25F, 5.75F, 20.5F, 11.1F},
                              Box{10.4F, 10.6F, 7, 7}, Box{-9, 40, 30, 100}, Box{7.2F, 7.4F, 0.2F, 9}}) {
            INFO(box.x << " " << box.y << " " << box.w << " " << box.h << ", scale " << scale);
            const auto drawn = screen->drawn(
                [&](ImDrawList* list) { list->AddRectFilled(top_left(box), bottom_right(box), ink(kSea)); });
            const auto filled = screen->drawn([&](ImDrawList* list) { fill_box(list, box, kSea); });
            const bool same = filled.pixels == drawn.pixels;  // thousands of numbers say nothing to a reader
            CHECK(same);
        }
    }
}

TEST_CASE("a filled box stays within what it is clipped to and between what is drawn before and after it") {
    const auto screen = test::screen_or_skip(kSide);
    if (!screen) return;
    const auto image = screen->drawn([](ImDrawList* list) {
        list->AddRectFilled({0, 0}, {kSide, kSide}, ink(kSand));
        list->PushClipRect({8, 8}, {24, 40}, true);
        fill_box(list, {0, 0, 20, 20}, kSea);
        list->PopClipRect();
        list->AddRectFilled({8, 8}, {12, 12}, ink(kSand));
    });
    CHECK(pixels_of(image, kSea) == 12 * 12 - 4 * 4);
    CHECK(pixels_of(image, kSand) == kSide * kSide - (12 * 12 - 4 * 4));
}

TEST_CASE("a box that is not opaque is blended with what lies below it") {
    const auto screen = test::screen_or_skip(kSide);
    if (!screen) return;
    const auto image = screen->drawn([](ImDrawList* list) {
        fill_box(list, {0, 0, kSide, kSide}, rgb(0xFFFFFF));
        fill_box(list, {0, 0, 8, 8}, rgb(0x000000, 128));
    });
    CHECK(pixels_of(image, rgb(0xFFFFFF)) == kSide * kSide - 64);
    CHECK(pixels_of(image, rgb(0x000000)) == 0);
}

TEST_CASE("a call's disc from the font's texture is the disc that a circle of triangles draws") {
    const auto screen = test::screen_or_skip(kSide);
    if (!screen) return;
    for (const float scale : {1.0F, 1.3F, 2.0F}) {
        INFO("scale " << scale);
        Look look;
        look.scale = scale;
        look.colours = &palette(Theme::dark);
        look.fonts = build_fonts(scale);
        screen->toolkit.upload_fonts();
        const float r = look.unit(kDiscRadius);
        REQUIRE(look.fonts.disc.radius == r);
        const ImVec2 middle{30, 30};
        const auto drawn = screen->drawn([&](ImDrawList* list) {
            list->AddCircleFilled(middle, r, ink(verdict_colour(ruling::Verdict::clear)), 64);
        });
        const auto disc = screen->drawn([&](ImDrawList* list) {
            draw_call(list, look, middle, r, ruling::Verdict::clear, true, palette(Theme::dark).ground);
        });
        int most = 0;
        double sum = 0, whole = 0;
        for (std::size_t i = 0; i < drawn.pixels.size(); ++i) {
            const int off = std::abs(int{drawn.pixels[i]} - int{disc.pixels[i]});
            most = std::max(most, off);
            sum += off;
            whole += i % 4 == 3 ? 0 : drawn.pixels[i];
        }
        // Inside alike, on the rim by what two ways of smoothing it differ.
        CHECK(test::pixel(disc, 30, 30)[1] == verdict_colour(ruling::Verdict::clear).g);
        CHECK(most <= 64);
        CHECK(sum < whole * 0.05);
    }
}
