// Corners of a board that was drawn through a known lens, so that it is known where they are.
#include "sight/chessboard.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <optional>
#include <random>
#include <string>

#include "sight/lens.h"
#include "support/sanitized.h"

using namespace plumbmark;
using namespace plumbmark::sight;

namespace {

struct Drawn {
    int width = 0, height = 0;
    std::vector<std::uint8_t> grey;
    [[nodiscard]] GreyPicture picture() const { return {grey.data(), width, height, width}; }
};

/// What is seen of the board at a place on its plane: dark where the square beside the first corner is, a
/// bright margin of one square, and a wall behind.
double brightness(const Board& board, double x, double y) {
    const int column = static_cast<int>(std::floor(x / board.square)),
              row = static_cast<int>(std::floor(y / board.square));
    if (column < -2 || row < -2 || column > board.across || row > board.down) return 90;
    const bool on = column >= -1 && row >= -1 && column < board.across && row < board.down;
    return on && (column + row) % 2 == 0 ? 40 : 210;
}

/// Each pixel is the mean of 16 places in it, and noise; the way back through the lens is taken at the
/// pixels' corners and between them linearly.
Drawn drawn(const Board& board, const Camera& camera, double noise = 3) {
    Drawn out{camera.lens.width, camera.lens.height, {}};
    const int across = out.width + 1;
    std::vector<std::optional<Vec3>> on;
    for (int y = 0; y <= out.height; ++y)
        for (int x = 0; x <= out.width; ++x) {
            const auto ray = ray_through(camera, {1.0 * x, 1.0 * y});
            on.push_back(std::nullopt);
            if (ray && std::abs(ray->direction.z) > 1e-9)
                on.back() = ray->start + (-ray->start.z / ray->direction.z) * ray->direction;
        }
    std::mt19937 engine(5);
    std::normal_distribution<double> scatter(0, noise);
    for (int y = 0; y < out.height; ++y)
        for (int x = 0; x < out.width; ++x) {
            const auto corner = [&](int right, int down) {
                return on[static_cast<std::size_t>((y + down) * across + x + right)];
            };
            const auto a = corner(0, 0), b = corner(1, 0), c = corner(0, 1), d = corner(1, 1);
            double sum = 0;
            for (int i = 0; i < 16 && a && b && c && d; ++i) {
                const double u = (i % 4 + 0.5) / 4, v = (i / 4 + 0.5) / 4;
                const Vec3 at = (1 - v) * ((1 - u) * *a + u * *b) + v * ((1 - u) * *c + u * *d);
                sum += brightness(board, at.x, at.y) / 16;
            }
            out.grey.push_back(static_cast<std::uint8_t>(std::clamp(sum + scatter(engine), 0.0, 255.0)));
        }
    return out;
}

Lens lens_of(double focal) {
    return {640, 480, focal, focal, 322, 238, 0, -0.2, 0.05};
}

Camera camera_over(const Board& board, double focal, double slant, double about, double roll, double away) {
    const Mat3 turn = turning({0, 0, roll}) * turning({slant * std::cos(about), slant * std::sin(about), 0});
    const Vec3 middle{(board.across - 1) * board.square / 2, (board.down - 1) * board.square / 2, 0};
    return {lens_of(focal), {turn, Vec3{0, 0, away} - turn * middle}};
}

struct Off {
    Pixel mean;
    double rms = 0, most = 0;
};

Off off(const std::vector<Pixel>& found, const Board& board, const Camera& camera) {
    const std::vector<Vec3> places = places_of(board);
    REQUIRE(found.size() == places.size());
    Off out;
    const auto count = static_cast<double>(places.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
        const auto at = project(camera, places[i]);
        REQUIRE(at);
        const double x = found[i].x - at->x, y = found[i].y - at->y;
        out.mean.x += x / count;
        out.mean.y += y / count;
        out.rms += (x * x + y * y) / count;
        out.most = std::max(out.most, std::hypot(x, y));
    }
    out.rms = std::sqrt(out.rms);
    return out;
}

const Board kBoard{9, 6, 0.025};

std::string reason(const Drawn& picture, const Board& board) {
    const auto found = find_board(picture.picture(), board);
    return found ? "found" : found.error().text();
}

}  // namespace

TEST_CASE("corners lie where the board was drawn and in the same order however it is turned") {
    for (const double roll : {0.0, 0.8, 1.6, 2.4, 3.2, -2.2, -1.5, -0.7}) {
        if (test::kSanitized && roll != 0.8 && roll != -1.5) continue;
        const Camera camera = camera_over(kBoard, 560, 0.45, 2 * roll, roll, 0.5);
        const auto found = find_board(drawn(kBoard, camera).picture(), kBoard);
        INFO("roll " << roll);
        INFO((found ? "" : found.error().text()));
        REQUIRE(found);
        const Off here = off(*found, kBoard, camera);
        CHECK(here.rms < 0.1);
        CHECK(here.most < 0.4);
        // The middle of the first pixel is (0.5, 0.5) here, and 0 in the finder: half a pixel would show.
        CHECK(std::abs(here.mean.x) < 0.03);
        CHECK(std::abs(here.mean.y) < 0.03);
    }
}

TEST_CASE("small squares and large ones are found as exactly") {
    const Board large{5, 4, 0.06};
    const Camera near = camera_over(large, 560, 0.3, 0.5, 0.1, 0.42);
    auto found = find_board(drawn(large, near).picture(), large);
    REQUIRE(found);
    CHECK(off(*found, large, near).rms < 0.1);
    const Camera far = camera_over(kBoard, 560, 0.3, 0.5, 0.1, 1.1);
    found = find_board(drawn(kBoard, far).picture(), kBoard);
    REQUIRE(found);
    CHECK(off(*found, kBoard, far).rms < 0.15);
}

TEST_CASE("the same picture gives the same corners whatever was looked for before") {
    const Drawn one = drawn(kBoard, camera_over(kBoard, 560, 0.3, 0.5, 0.1, 0.5)),
                other = drawn(kBoard, camera_over(kBoard, 560, 0.5, 2, 1.3, 0.45), 12);
    const auto first = find_board(one.picture(), kBoard);
    REQUIRE(first);
    for (int i = 0; i < 3; ++i) {
        REQUIRE(find_board(other.picture(), kBoard));
        const auto again = find_board(one.picture(), kBoard);
        REQUIRE(again);
        CHECK(*again == *first);
    }
}

TEST_CASE("a board that looks the same after half a turn is never mirrored and measures a lens as well") {
    CHECK(tells_half_turn({9, 6, 1}));
    CHECK(tells_half_turn({4, 7, 1}));
    CHECK_FALSE(tells_half_turn({8, 6, 1}));
    CHECK_FALSE(tells_half_turn({7, 5, 1}));
    for (const Board& board : {Board{7, 5, 0.03}, Board{6, 6, 0.03}, Board{7, 7, 0.025}}) {
        if (test::kSanitized && board.across != 6) continue;
        std::vector<BoardView> views;
        Lens lens;
        for (int i = 0; i < 4; ++i) {
            const Camera camera = camera_over(board, 560, 0.5, 1.5 * i, 1.7 * i, 0.38);
            lens = camera.lens;
            const auto found = find_board(drawn(board, camera).picture(), board);
            INFO(board.across << " x " << board.down << ", " << i);
            INFO((found ? "" : found.error().text()));
            REQUIRE(found);
            const auto at = [&](int column, int row) {
                return (*found)[static_cast<std::size_t>(row * board.across + column)];
            };
            const Pixel first = at(0, 0), right = at(1, 0), down = at(0, 1);
            CHECK((right.x - first.x) * (down.y - first.y) > (right.y - first.y) * (down.x - first.x));
            views.push_back({std::to_string(i), places_of(board), *found});
        }
        const auto measured = measure_lens(views, 640, 480, {Bending::k1_k2, false, false});
        INFO((measured ? "" : measured.error().text()));
        REQUIRE(measured);
        CHECK(measured->rms < 0.1);
        CHECK(std::abs(measured->lens.fx - 560) < 4 * measured->standard(0) + 0.5);
        CHECK(std::abs(measured->lens.cx - lens.cx) < 4 * measured->standard(2) + 0.5);
        CHECK(std::abs(measured->lens.cy - lens.cy) < 4 * measured->standard(3) + 0.5);
    }
}

TEST_CASE("where there is no such board the reason is said") {
    Drawn wall{320, 240, std::vector<std::uint8_t>(320 * 240)};
    for (std::size_t i = 0; i < wall.grey.size(); ++i)
        wall.grey[i] = static_cast<std::uint8_t>(60 + i % 320 / 4 + (i / 320 / 40 % 2) * 70);  // boards
    CHECK(reason(wall, kBoard).find("No board with 9 x 6 inner corners is seen.") == 0);

    // Cut off at the right.
    Camera camera = camera_over(kBoard, 560, 0.2, 0.5, 0, 0.4);
    camera.pose.shift.x += 0.17;
    const std::string cut = reason(drawn(kBoard, camera), kBoard);
    INFO(cut);
    CHECK(cut.find("Only ") == 0);
    CHECK(cut.find("of the board's 9 x 6 inner corners are seen") != std::string::npos);

    camera.pose.shift.x -= 0.17;
    const Drawn whole = drawn(kBoard, camera);
    const std::string counted = reason(whole, {7, 5, 0.025});
    CHECK(counted.find("A board with 9 x 6 inner corners is seen, and one with 7 x 5 was looked for.") == 0);
    CHECK(reason(whole, {10, 7, 0.025}).find("Only 9 x 6 of the board's 10 x 7") == 0);

    CHECK(reason(wall, {2, 6, 0.025}).find("A board has 3 to 60 inner corners each way") == 0);
    CHECK(reason(wall, {9, 6, 0}).find("The board's squares have no size.") == 0);
    CHECK(reason(Drawn{}, kBoard) == "The picture has no size.");
}

TEST_CASE("looking for a board is stopped when that is asked for") {
    std::stop_source stopping;
    stopping.request_stop();
    const Drawn picture{64, 48, std::vector<std::uint8_t>(64 * 48)};
    const auto found = find_board(picture.picture(), kBoard, stopping.get_token());
    REQUIRE_FALSE(found);
    CHECK(found.error().category == base::Category::cancelled);
    CHECK(found.error().text() == "Looking for the board was stopped.");
}

TEST_CASE("colours become the luma by which a board is looked for") {
    std::uint8_t pixels[]{255, 255, 255, 255, 0, 0, 0,   255, 255, 0, 0, 255,
                          0,   255, 0,   255, 0, 0, 255, 255, 9,   9, 9, 0};
    // ITU-R BT.709, 3: 0.2126, 0.7152 and 0.0722.
    CHECK(grey_of({pixels, 3, 2}) == std::vector<std::uint8_t>{255, 0, 54, 182, 18, 9});
}
