// Hiding is held against what it must forget; finding against faces that were looked for by eye in real
// footage (its licences stand beside it).
#include "sight/faces.h"

#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <iostream>
#include <set>

#include "media/frame_reader.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "support/drawn_face.h"
#include "support/in_language.h"
#include "support/sanitized.h"
#include "support/test_places.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

media::RgbaImage noise(int width, int height, std::uint32_t seed) {
    media::RgbaImage image{width, height, {}};
    for (int i = 0; i < width * height * 4; ++i) {
        seed = seed * 1664525 + 1013904223;  // Numerical Recipes' generator
        image.pixels.push_back(i % 4 == 3 ? 255 : static_cast<std::uint8_t>(seed >> 24));
    }
    return image;
}

sight::Pixels pixels(media::RgbaImage& image) {
    return {image.pixels.data(), image.width, image.height};
}

std::uint32_t at(const media::RgbaImage& image, int x, int y) {
    const std::size_t i = 4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) +
                               static_cast<std::size_t>(x));
    return image.pixels[i] | image.pixels[i + 1] << 8U | image.pixels[i + 2] << 16U;
}

/// What docs/figures.md says of the shared footage; fewer is a step back.
constexpr int kFoundAtLeast = 11;

bool covers(const sight::Box& box, int x, int y) {
    return x >= box.x && x < box.x + box.width && y >= box.y && y < box.y + box.height;
}

}  // namespace

TEST_CASE("a hidden part is a few flat cells, and nothing outside it changes") {
    const media::RgbaImage before = noise(120, 90, 1);
    media::RgbaImage after = before;
    const sight::Box box{30, 20, 47, 53};
    sight::hide(pixels(after), box);
    std::set<std::uint32_t> colours;
    for (int y = 0; y < 90; ++y)
        for (int x = 0; x < 120; ++x) {
            if (covers(box, x, y))
                colours.insert(at(after, x, y));
            else
                REQUIRE(at(after, x, y) == at(before, x, y));
        }
    CHECK(colours.size() <= static_cast<std::size_t>(sight::kMostCells * sight::kMostCells));
}

TEST_CASE("what is hidden cannot be told from any other picture with the same cell means") {
    // The pixels of a cell in another order are another picture; hidden, the two are the same bytes.
    const media::RgbaImage one = noise(100, 100, 2);
    media::RgbaImage other = one;
    for (int row = 0; row < sight::kMostCells; ++row)
        for (int column = 0; column < sight::kMostCells; ++column)
            for (int y = 0; y < 20; ++y)
                for (int x = 0; x < 20; ++x)
                    for (std::size_t c = 0; c < 4; ++c)
                        other.pixels[4 * static_cast<std::size_t>((row * 20 + y) * 100 + column * 20 + x) +
                                     c] = one.pixels[4 * static_cast<std::size_t>((row * 20 + 19 - y) * 100 +
                                                                                  column * 20 + 19 - x) +
                                                     c];
    REQUIRE(one.pixels != other.pixels);
    media::RgbaImage first = one, second = other;
    sight::hide(pixels(first), {0, 0, 100, 100});
    sight::hide(pixels(second), {0, 0, 100, 100});
    CHECK(first.pixels == second.pixels);
}

TEST_CASE("a part that reaches beyond the picture, or is nothing, is cut to it") {
    CHECK(rc::check([] {
        const int width = *rc::gen::inRange(1, 40), height = *rc::gen::inRange(1, 40);
        media::RgbaImage image = noise(width, height, 3);
        const sight::Box box{*rc::gen::inRange(-60, 60), *rc::gen::inRange(-60, 60),
                             *rc::gen::inRange(-5, 90), *rc::gen::inRange(-5, 90)};
        sight::hide(pixels(image), box);
        RC_ASSERT(image.pixels.size() == static_cast<std::size_t>(width * height * 4));
    }));
}

namespace {

/// The longer side of what encloses all pixels of the box that are as they were.
int longest_kept(const media::RgbaImage& before, const media::RgbaImage& after, const sight::Box& box) {
    int left = box.x + box.width, right = box.x, top = box.y + box.height, bottom = box.y;
    for (int y = box.y; y < box.y + box.height; ++y)
        for (int x = box.x; x < box.x + box.width; ++x) {
            if (at(before, x, y) != at(after, x, y)) continue;
            left = std::min(left, x), right = std::max(right, x + 1);
            top = std::min(top, y), bottom = std::max(bottom, y + 1);
        }
    return std::max({right - left, bottom - top, 0});
}

/// Black and white pixels by chance: no mean of many of them is either.
media::RgbaImage black_and_white(int width, int height) {
    media::RgbaImage image = noise(width, height, 4);
    for (std::size_t i = 0; i < image.pixels.size(); ++i)
        image.pixels[i] = i % 4 == 3 ? 255 : image.pixels[i - i % 4] > 127 ? 255 : 0;
    return image;
}

}  // namespace

TEST_CASE("a face is hidden but for a small square around the place that was pointed at") {
    const media::RgbaImage before = black_and_white(200, 160);
    // 64 with the hair are 40 of the face: a third of that is 13.
    const sight::Box face{60, 40, 64, 64};
    media::RgbaImage after = before;
    CHECK(sight::hide_around(pixels(after), {face}, {92, 72}, 48));
    for (int y = 0; y < 160; ++y)
        for (int x = 0; x < 200; ++x) {
            INFO(x << ", " << y);
            const bool open = covers({86, 66, 13, 13}, x, y);
            REQUIRE((at(after, x, y) == at(before, x, y)) == (open || !covers(face, x, y)));
        }
    // As small as it was asked for where the face is large.
    after = before;
    CHECK(sight::hide_around(pixels(after), {face}, {92, 72}, 8));
    CHECK(longest_kept(before, after, face) == 8);
    // Beside it nothing has to be left open, and nothing is said to be.
    after = before;
    CHECK_FALSE(sight::hide_around(pixels(after), {face}, {20, 20}, 48));
    CHECK(longest_kept(before, after, face) == 0);
}

TEST_CASE("whatever is found, what stays open of a face is at most a third of it") {
    CHECK(rc::check([] {
        const media::RgbaImage before = black_and_white(160, 160);
        media::RgbaImage after = before;
        std::vector<sight::Box> faces;
        for (int count = *rc::gen::inRange(1, 4); count > 0; --count) {
            const int side = *rc::gen::inRange(24, 80);
            faces.push_back({*rc::gen::inRange(0, 160 - side), *rc::gen::inRange(0, 160 - side), side, side});
        }
        const std::array<double, 2> point{*rc::gen::inRange(-30, 190) + 0.25,
                                          *rc::gen::inRange(-30, 190) + 0.5};
        const bool told = sight::hide_around(pixels(after), faces, point, *rc::gen::inRange(1, 90));
        int most = 0;
        for (const sight::Box& face : faces) {
            const int kept = longest_kept(before, after, face);
            RC_ASSERT(kept <= face.width / 1.6 / 3);
            most = std::max(most, kept);
        }
        RC_ASSERT(told == (most > 0));
    }));
}

TEST_CASE("a face that is drawn is found in a part that it is cut by, and hidden there for good") {
    media::RgbaImage image = test::drawn_face(320, 240, 160, 120, 40);
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    for (const sight::Box& part : {sight::Box{0, 0, 320, 240}, {150, 0, 100, 240}, {0, 0, 320, 100}}) {
        INFO(part.x << ", " << part.y << ", " << part.width << " x " << part.height);
        const std::vector<sight::Box> found = *finder->find(pixels(image), part);
        CHECK(std::any_of(found.begin(), found.end(),
                          [](const sight::Box& box) { return covers(box, 160, 120); }));
    }
    CHECK(finder->find(pixels(image), {0, 0, 40, 40})->empty());
    for (const sight::Box& box : finder->find(pixels(image)))
        sight::hide(pixels(image), box);
    CHECK(finder->find(pixels(image)).empty());
}

TEST_CASE("in what is given out smaller, a face too small to be told there is passed by, and no other") {
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    const auto finds = [&](int half, double smallest) {
        media::RgbaImage image = test::drawn_face(320, 240, 160, 120, half);
        const auto found = finder->find(pixels(image), {0, 0, 320, 240}, {}, smallest);
        REQUIRE(found.ok());
        return std::any_of(found->begin(), found->end(),
                           [](const sight::Box& box) { return covers(box, 160, 120); });
    };
    CHECK(finds(16, sight::kSmallestFace));
    CHECK_FALSE(finds(16, 48));
    CHECK(finds(16, 1));  // the least that is looked for at all
    CHECK(finds(60, sight::kSmallestFace));
    CHECK(finds(60, 48));
}

TEST_CASE("a search that is stopped says so, and gives no faces that could be taken for all") {
    media::RgbaImage image = test::drawn_face(320, 240, 160, 120, 40);
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    std::stop_source stop;
    stop.request_stop();
    const auto found = finder->find(pixels(image), {0, 0, 320, 240}, stop.get_token());
    REQUIRE_FALSE(found.ok());
    CHECK(found.error().category == base::Category::cancelled);
}

TEST_CASE("a blank picture has no face, whatever its size") {
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    for (const auto& [width, height] : {std::pair{1, 1}, {3, 200}, {640, 480}}) {
        media::RgbaImage image{width, height,
                               std::vector<std::uint8_t>(static_cast<std::size_t>(width * height) * 4, 90)};
        CHECK(finder->find(pixels(image)).empty());
    }
}

namespace {

/// A face that a person sees in the footage.
struct Seen {
    const char* clip;
    std::int64_t frame;
    int x, y;  ///< in its middle
};

/// In the gym a bystander in a mask stands still and faces the camera, her head some 60 pixels high; the
/// athlete's own face was pixelated by the source or is turned away. The walkers are seen from behind but for
/// a few frames in which they turn to leave, their heads some 55 pixels high.
std::vector<Seen> seen_by_eye() {
    std::vector<Seen> all;
    for (std::int64_t frame = 0; frame < 100; frame += 20) {
        all.push_back({"gym-four-cameras/cam01.mp4", frame, 76, 338});
        all.push_back({"gym-four-cameras/cam02.mp4", frame, 798, 520});
    }
    const char* walkers = "walkers/one-by-one-person-detection.mp4";
    for (const Seen& one : {Seen{walkers, 686, 585, 65}, {walkers, 854, 591, 90}, {walkers, 1344, 556, 54}})
        all.push_back(one);
    return all;
}

media::RgbaImage frame_of(const fs::path& clip, std::int64_t frame) {
    auto table = media::scan_clip(clip);
    REQUIRE(table.ok());
    auto reader =
        media::FrameReader::open(clip, std::make_shared<const media::FrameTable>(std::move(*table)));
    REQUIRE(reader.ok());
    auto picture = reader->read(frame);
    REQUIRE(picture.ok());
    return media::to_rgba(**picture);
}

}  // namespace

TEST_CASE("of the faces that a person sees in real footage some are found, each within the picture",
          "[faces]") {
    const fs::path motion = test::shared_folder() / "clips/motion";
    if (!fs::exists(motion)) {
        std::cout << "skipped: the shared footage is not here\n";
        return;
    }
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    int found = 0, looked_at = 0, elsewhere = 0;
    for (const Seen& seen : seen_by_eye()) {
        media::RgbaImage picture = frame_of(motion / seen.clip, seen.frame);
        int here = 0;
        for (const sight::Box& box : finder->find(pixels(picture))) {
            CHECK((box.x >= 0 && box.y >= 0 && box.x + box.width <= picture.width &&
                   box.y + box.height <= picture.height));
            covers(box, seen.x, seen.y) ? ++here : ++elsewhere;
        }
        found += here > 0;
        ++looked_at;
        if (test::kSanitized && looked_at == 2) return;  // all of them take minutes there
        std::cout << seen.clip << " f " << seen.frame << (here > 0 ? ": found\n" : ": missed\n");
    }
    std::cout << "found " << found << " of " << looked_at << " faces, and " << elsewhere
              << " places besides\n";
    CHECK(found >= kFoundAtLeast);
}

namespace {

bool alike(const sight::Box& a, const sight::Box& b) {
    const int apart = std::max(a.width, b.width) / 4;
    return std::abs(a.x - b.x) <= apart && std::abs(a.y - b.y) <= apart &&
           std::abs(a.width - b.width) <= 2 * apart;
}

bool has_alike(const std::vector<sight::Box>& boxes, const sight::Box& wanted) {
    return std::any_of(boxes.begin(), boxes.end(), [&](const sight::Box& one) { return alike(one, wanted); });
}

}  // namespace

TEST_CASE("a face is found in a part of a real picture as in all of it, also where the part's edge cuts it",
          "[faces]") {
    const fs::path clip = test::shared_folder() / "clips/motion/walkers/one-by-one-person-detection.mp4";
    if (!fs::exists(clip)) {
        std::cout << "skipped: the shared footage is not here\n";
        return;
    }
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    media::RgbaImage picture = frame_of(clip, 686);
    const std::vector<sight::Box> all = finder->find(pixels(picture));
    const auto face =
        std::find_if(all.begin(), all.end(), [](const sight::Box& box) { return covers(box, 585, 65); });
    REQUIRE(face != all.end());
    const int right = face->x + face->width, bottom = face->y + face->height;
    for (const sight::Box& part : {sight::Box{face->x - 60, face->y - 60, 240, 200},
                                   {face->x + face->width / 2, 0, 150, 150},
                                   {face->x - 150, bottom - 5, 160, 100},
                                   {right - 3, face->y, 100, 40}}) {
        INFO(part.x << ", " << part.y << ", " << part.width << " x " << part.height);
        CHECK(has_alike(*finder->find(pixels(picture), part), *face));
    }
    CHECK_FALSE(has_alike(*finder->find(pixels(picture), {right + 5, 0, 100, 100}), *face));
    CHECK(finder->find(pixels(picture), {-50, 0, 40, 40})->empty());
}

TEST_CASE("a search for faces that is stopped says so in German") {
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    const test::InLanguage german("de");
    media::RgbaImage picture = noise(200, 200, 7);
    std::stop_source stopping;
    stopping.request_stop();
    const auto found = finder->find(pixels(picture), {0, 0, 200, 200}, stopping.get_token());
    REQUIRE_FALSE(found.ok());
    CHECK(found.error().spoken() == "Die Suche nach Gesichtern wurde abgebrochen.");
    CHECK(found.error().text() == "Looking for faces was stopped.");
}
