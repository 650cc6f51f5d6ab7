// How the desk looks: the sample meet at three sizes of window in the three themes, each picture reduced and
// held against the one that was looked at and found good (tests/desk/screens). A row is a theme, a column a
// size.
//
// What is held: no part of the window has moved, gone or changed its colour. Letters are rendered by FreeType
// and pictures decoded by libav, so another release of either may differ in a few values at an edge: that is
// let pass. After a change that is meant, PLUMBMARK_TAKE_SCREENS=FOLDER writes the pictures there instead, to
// be looked at and put in the place of the old ones.
#include <png.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <functional>

#include "desk/key_bench.h"
#include "media/still.h"
#include "support/file_bytes.h"

using namespace plumbmark;
using namespace plumbmark::desk;

namespace {

constexpr int kTile = 320, kTileHigh = 180;  // of one window on the sheet
struct Size {
    int wide, high;
    double scale;
};
constexpr Size kSizes[] = {{1366, 768, 1}, {1920, 1080, 1}, {3840, 2160, 2}};
constexpr Theme kThemes[] = {Theme::dark, Theme::light, Theme::high_contrast};

/// Each pixel the mean of those that it stands for.
media::RgbaImage reduced(const media::RgbaImage& from) {
    media::RgbaImage to;
    to.width = kTile;
    to.height = kTileHigh;
    to.pixels.resize(std::size_t{4} * kTile * kTileHigh);
    for (int y = 0; y < kTileHigh; ++y)
        for (int x = 0; x < kTile; ++x) {
            const int x0 = x * from.width / kTile, x1 = (x + 1) * from.width / kTile,
                      y0 = y * from.height / kTileHigh, y1 = (y + 1) * from.height / kTileHigh;
            for (int c = 0; c < 4; ++c) {
                long sum = 0;
                for (int v = y0; v < y1; ++v)
                    for (int u = x0; u < x1; ++u)
                        sum += from.pixels[4 * (static_cast<std::size_t>(v) *
                                                    static_cast<std::size_t>(from.width) +
                                                static_cast<std::size_t>(u)) +
                                           static_cast<std::size_t>(c)];
                to.pixels[4 * (static_cast<std::size_t>(y) * kTile + static_cast<std::size_t>(x)) +
                          static_cast<std::size_t>(c)] =
                    static_cast<std::uint8_t>(sum / ((x1 - x0) * (y1 - y0)));
            }
        }
    return to;
}

void put(media::RgbaImage& sheet, const media::RgbaImage& tile, int column, int row) {
    for (int y = 0; y < tile.height; ++y)
        std::copy_n(
            tile.pixels.begin() + static_cast<std::ptrdiff_t>(4) * y * tile.width, 4 * tile.width,
            sheet.pixels.begin() +
                static_cast<std::ptrdiff_t>(4) *
                    (static_cast<std::ptrdiff_t>(row * kTileHigh + y) * sheet.width + column * kTile));
}

media::RgbaImage read_png(const std::string& file) {
    png_image png{};
    png.version = PNG_IMAGE_VERSION;
    media::RgbaImage image;
    if (!png_image_begin_read_from_file(&png, file.c_str())) return image;
    png.format = PNG_FORMAT_RGBA;
    image.pixels.resize(PNG_IMAGE_SIZE(png));
    image.width = static_cast<int>(png.width);
    image.height = static_cast<int>(png.height);
    REQUIRE(png_image_finish_read(&png, nullptr, image.pixels.data(), 0, nullptr));
    return image;
}

/// The mean difference of the square of 10 pixels that differs most, in code values of 0 to 255, and where it
/// is.
struct Worst {
    double difference = 0;
    int x = 0, y = 0;
};
Worst worst_square(const media::RgbaImage& a, const media::RgbaImage& b) {
    constexpr int side = 10;
    Worst worst;
    for (int y = 0; y + side <= a.height; y += side)
        for (int x = 0; x + side <= a.width; x += side) {
            long sum = 0;
            for (int v = y; v < y + side; ++v)
                for (int u = x; u < x + side; ++u)
                    for (int c = 0; c < 3; ++c) {
                        const std::size_t at =
                            4 * (static_cast<std::size_t>(v) * static_cast<std::size_t>(a.width) +
                                 static_cast<std::size_t>(u)) +
                            static_cast<std::size_t>(c);
                        sum += std::abs(a.pixels[at] - b.pixels[at]);
                    }
            const double mean = static_cast<double>(sum) / (side * side * 3);
            if (mean > worst.difference) worst = {mean, x, y};
        }
    return worst;
}

constexpr double kTolerance = 6;

void hold(const char* name, const std::function<void(test::KeyBench&)>& arrange) {
    media::RgbaImage sheet;
    sheet.width = 3 * kTile;
    sheet.height = 3 * kTileHigh;
    sheet.pixels.assign(std::size_t{4} * 9 * kTile * kTileHigh, 255);
    for (int column = 0; column < 3; ++column) {
        const Size& size = kSizes[column];
        test::KeyBench bench({size.wide, size.high, size.scale, kThemes[0]});
        if (!bench.can_run()) return;
        arrange(bench);
        bench.settle_all();
        for (int row = 0; row < 3; ++row) {
            REQUIRE(bench.core().theme() == kThemes[row]);
            bench.draw();
            put(sheet, reduced(bench.picture()), column, row);
            bench.next_theme();
        }
    }
    const std::string file = std::string(name) + ".png";
    if (const char* folder = std::getenv("PLUMBMARK_TAKE_SCREENS")) {
        const auto png = media::encode_png(sheet);
        REQUIRE(png);
        test::write_bytes(std::filesystem::path(folder) / file, {png->begin(), png->end()});
        std::cout << "skipped: written to " << folder << "\n";
        return;
    }
    const media::RgbaImage good = read_png((test::source_folder() / "tests/desk/screens/").string() + file);
    REQUIRE(good.width == sheet.width);
    REQUIRE(good.height == sheet.height);
    const Worst worst = worst_square(good, sheet);
    INFO(name << ": theme " << worst.y / kTileHigh + 1 << ", size " << worst.x / kTile + 1 << ", at "
              << worst.x % kTile << ", " << worst.y % kTileHigh << " of " << kTile << " x " << kTileHigh);
    CHECK(worst.difference <= kTolerance);
    // The check can fail: a window's theme, or one tile's place, is far beyond what is let pass.
    media::RgbaImage shifted = sheet;
    std::rotate(shifted.pixels.begin(), shifted.pixels.begin() + static_cast<std::ptrdiff_t>(4) * 8,
                shifted.pixels.end());
    CHECK(worst_square(good, shifted).difference > kTolerance);
}

}  // namespace

TEST_CASE("the review of a run looks as it was found good at three sizes in three themes") {
    hold("review", [](test::KeyBench& bench) {
        bench.session().go_to_frame(400);
        bench.core().views().sheet.open = true;
    });
}

TEST_CASE("the questions asked of a picture look as they were found good at three sizes in three themes") {
    hold("touching-yet", [](test::KeyBench& bench) { bench.press(Action::touching_yet); });
}

TEST_CASE("floor entry looks as it was found good at three sizes in three themes") {
    hold("floor-entry", [](test::KeyBench& bench) { bench.go_to_the_meet("floor-entry"); });
}

TEST_CASE("the standings look as they were found good at three sizes in three themes") {
    hold("standings", [](test::KeyBench& bench) { bench.go_to_the_meet("standings"); });
}

TEST_CASE("all keys look as they were found good at three sizes in three themes") {
    hold("keys", [](test::KeyBench& bench) { bench.press(Action::help); });
}

TEST_CASE("the guided first ruling looks as it was found good at three sizes in three themes") {
    hold("guide", [](test::KeyBench& bench) {
        bench.press(Action::guide);
        bench.settle();
        bench.press(Action::recent_meets);
    });
}
