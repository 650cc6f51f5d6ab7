// Where the zones lie.
#include "desk/layout.h"

#include <catch2/catch.hpp>
#include <utility>

using namespace plumbmark::desk;

TEST_CASE("the zones fill the window and keep rows that a finger can hit, from a small laptop to 4K") {
    const struct {
        float w, h, scale;
    } windows[] = {{1366, 768, 1}, {1920, 1080, 1}, {1920, 1080, 1.5F}, {3840, 2160, 2}, {2560, 1440, 1.25F}};
    for (const auto& window : windows) {
        for (const auto& [folded, sound] : {std::pair{false, false}, {false, true}, {true, true}}) {
            const Layout l = lay_out(window.w, window.h, window.scale, folded, sound);
            CAPTURE(window.w, window.h, window.scale, folded, sound);
            CHECK(l.top.bottom() == l.pictures.y);
            CHECK(l.pictures.bottom() == l.strip.y);
            CHECK(l.pictures.right() == l.sheet.x);
            CHECK(l.sheet.right() == window.w);
            CHECK(l.strip.bottom() == l.help.y);
            CHECK(l.help.bottom() == window.h);
            // All rows of the run strip fit into it at 28 units each.
            const float rows = static_cast<float>(row_count(l.rows, sound)) * kRow * window.scale;
            CHECK(l.strip.h >= rows + kRuler * window.scale);
            CHECK(l.pictures.h >= window.h * 0.4F);
        }
    }
    CHECK(kRow >= 28);
    CHECK(lay_out(1366, 768, 1, false, true).rows == StripRows::joined);
    CHECK(lay_out(1920, 1080, 1, false, true).rows == StripRows::all);
    CHECK(lay_out(3840, 2160, 2, true, true).rows == StripRows::folded);
}

TEST_CASE("a window too small for the design still keeps every zone inside it") {
    const Layout l = lay_out(320, 240, 2, false, true);
    for (const Box& box : {l.top, l.pictures, l.sheet, l.strip, l.help}) {
        CHECK(box.w >= 0);
        CHECK(box.h >= 0);
        CHECK(box.right() <= 320);
    }
}

TEST_CASE("other angles stand beside the picture without overlapping it") {
    const Box panel{0, 40, 1000, 500};
    for (const auto& aspects :
         {std::vector<float>{16 / 9.F, 16 / 9.F}, std::vector<float>{9 / 16.F, 9 / 16.F, 9 / 16.F},
          std::vector<float>{16 / 9.F, 9 / 16.F, 16 / 9.F, 4 / 3.F}}) {
        const auto boxes = lay_angles(panel, aspects, 4);
        REQUIRE(boxes.size() == aspects.size());
        for (std::size_t i = 0; i < boxes.size(); ++i) {
            CHECK(boxes[i].x >= panel.x);
            CHECK(boxes[i].right() <= panel.right() + 0.5F);
            CHECK(boxes[i].bottom() <= panel.bottom() + 0.5F);
            CHECK(boxes[0].w * boxes[0].h >= boxes[i].w * boxes[i].h);
            for (std::size_t j = 0; j < i; ++j) {
                const bool beside =
                    boxes[j].right() <= boxes[i].x + 0.5F || boxes[j].bottom() <= boxes[i].y + 0.5F;
                CHECK(beside);
            }
        }
    }
    CHECK(lay_angles(panel, {1.5F}, 4) == std::vector<Box>{panel});
}
