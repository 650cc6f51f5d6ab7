// The plan drawn through a camera: what is bent, cut off and hidden.
#include "sight/plan_view.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace plumbmark::sight;

namespace {

/// At the origin of x and y, 2 m high, looking along +y, level; 1000 px wide with a focal length of 1000 px.
Camera level_camera() {
    Camera camera;
    camera.lens = {1000, 800, 1000, 1000, 500, 400};
    camera.pose.turn = {{{1, 0, 0}, {0, 0, -1}, {0, 1, 0}}};
    camera.pose.shift = -1 * (camera.pose.turn * Vec3{0, 0, 2});
    return camera;
}

const Block kDeck{{{-1, 4}, {1, 4}, {1, 5}, {-1, 5}}, 0, 1};

}  // namespace

TEST_CASE("a line behind a block is hidden where the block stands before it and nowhere else") {
    // Ten metres off, half a metre high: the line of sight passes y = 4 at (2 + 0.4 * (0.5 - 2)) = 1.4 m and
    // y = 5 at 1.25 m, over the deck; at height -2 it passes y = 5 at 0 m, through it.
    const Camera camera = level_camera();
    CHECK_FALSE(is_hidden(camera, {0, 10, 0.5}, {kDeck}));
    CHECK(is_hidden(camera, {0, 10, -1.9}, {kDeck}));
    const auto stretches = seen_line(camera, {-4, 10, -1.5}, {4, 10, -1.5}, {kDeck}, 0.01);
    REQUIRE(stretches.size() == 3);
    CHECK_FALSE(stretches[0].hidden);
    CHECK(stretches[1].hidden);
    CHECK_FALSE(stretches[2].hidden);
    // The deck's own sides as seen from the eye: x = -1 at y = 4 covers x = -2.5 at y = 10, and the sight at
    // height -1.5 enters the front at 2 - 0.35 * 4 = 0.6 m. 400 places on 8 m: a step is 2 cm, 2 px.
    const double left = stretches[1].points.front().x, right = stretches[1].points.back().x;
    CHECK(left == Approx(500 - 1000 * 0.25).margin(2.1));
    CHECK(right == Approx(500 + 1000 * 0.25).margin(2.1));
}

TEST_CASE("a block does not hide its own front edges but hides its back ones below the top") {
    const Camera camera = level_camera();
    CHECK_FALSE(is_hidden(camera, {0, 4, 1}, {kDeck}));
    CHECK_FALSE(is_hidden(camera, {0, 4, 0.3}, {kDeck}));
    CHECK_FALSE(is_hidden(camera, {1, 4, 0}, {kDeck}));
    CHECK_FALSE(is_hidden(camera, {0.5, 5, 1}, {kDeck}));
    CHECK_FALSE(is_hidden(camera, {0, 4.5, 1}, {kDeck}));
    CHECK(is_hidden(camera, {0.5, 5, 0.5}, {kDeck}));
}

TEST_CASE("what lies behind the camera is cut off and the rest of the line is drawn") {
    const auto stretches = seen_line(level_camera(), {0.5, -5, 0}, {0.5, 5, 0}, {}, 0.05);
    REQUIRE(stretches.size() == 1);
    CHECK(stretches[0].points.size() > 80);
    CHECK(stretches[0].points.back().x == Approx(600));
    CHECK(stretches[0].points.back().y == Approx(800));
}

TEST_CASE("a line is bent as the lens bends it") {
    Camera camera = level_camera();
    camera.lens.k1 = -0.2;
    const auto stretches = seen_line(camera, {-2, 5, 3}, {2, 5, 3}, {}, 0.05);
    REQUIRE(stretches.size() == 1);
    for (std::size_t i = 0; i < stretches[0].points.size(); ++i) {
        const double x =
            -2 + 4 * static_cast<double>(i) / static_cast<double>(stretches[0].points.size() - 1);
        const double u = x / 5, v = -0.2, square = u * u + v * v;
        CHECK(stretches[0].points[i].x == Approx(500 + 1000 * u * (1 - 0.2 * square)));
        CHECK(stretches[0].points[i].y == Approx(400 + 1000 * v * (1 - 0.2 * square)));
    }
}
