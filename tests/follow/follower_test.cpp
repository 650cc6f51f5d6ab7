// Followers are held against the truth of pictures that are rendered with a known motion
// (tests/bench_follow), and of real ones cropped under a known motion. docs/following.md has the figures over
// longer series.
#include "follow/follower.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "bench_follow/shaken.h"
#include "support/in_language.h"
#include "support/test_places.h"

using namespace plumbmark;
using follow::Verdict;

namespace {

constexpr int kWidth = 1920, kHeight = 1080;
const std::vector<std::vector<follow::Point>> kShapes{{{400, 600}, {700, 590}, {710, 660}, {390, 670}},
                                                      {{1200, 300}, {1400, 310}, {1390, 360}, {1200, 350}}};

struct Stage {
    shaken::Luma hall = shaken::painted_hall(4, 2400, 1500);
    shaken::Hands hands{4, 1, kWidth, kHeight, 2400, 1500};
    [[nodiscard]] shaken::Luma at(double seconds, const shaken::Light& light = {}) const {
        return shaken::filmed(hall, hands, seconds, light, kWidth, kHeight);
    }
    [[nodiscard]] follow::Mapping truth(double seconds) const {
        return shaken::after(hands.at(0), *hands.at(seconds).inverse());
    }
};

void require_few_wrong(const shaken::Tally& tally) {
    INFO("median " << tally.percentile(0.5) << ", 95 % " << tally.percentile(0.95) << ", lost " << tally.lost
                   << " of " << tally.lost + tally.fitting << ", wrong " << tally.wrong);
    REQUIRE(tally.fitting > 0);
    CHECK(tally.percentile(0.5) <= 2);
    CHECK(100 * tally.wrong <= tally.fitting);
    CHECK(tally.bad > 0);
    CHECK(100 * tally.bad_called_good <= tally.bad);
    // 'About 95 %' is what the header promises; a short series scatters.
    CHECK(100 * tally.covered >= 90 * tally.fitting);
}

}  // namespace

TEST_CASE("drawings are found again in a shaken rendered scene with people walking through it") {
    shaken::Tally tally;
    shaken::run_rendered({11, 26, 1, 0.25, true}, tally);
    require_few_wrong(tally);
    CHECK(5 * tally.lost <= tally.fitting + tally.lost);
}

TEST_CASE("drawings are found again in shaken crops of real footage and stay where the camera is fixed") {
    const std::string clip = (test::shared_folder() / "clips/motion/gym-four-cameras/cam02.mp4").string();
    const std::vector<shaken::Luma> frames = shaken::frames_of(clip, 26, 3);
    if (frames.empty()) {
        std::cout << "skipped: " << clip << " is not there\n";
        return;
    }
    shaken::Tally shaken_crops, as_filmed;
    shaken::run_crops(frames, {7, 26, 1, 0, true}, shaken_crops);
    require_few_wrong(shaken_crops);
    shaken::run_as_filmed(frames, as_filmed);
    CHECK(as_filmed.lost == 0);
    CHECK(as_filmed.percentile(1) <= 0.5);
}

TEST_CASE("a picture that has not moved leaves the drawing exactly where it is") {
    const Stage stage;
    shaken::Light light;
    const auto follower = follow::Follower::make(shaken::grey(stage.at(0, light)), kShapes);
    REQUIRE(follower);
    light.seed = 2;
    light.gain = 0.8;
    light.bodies = 0.1;
    const follow::Fit fit = follower->fit(shaken::grey(stage.at(0, light)));
    CHECK(fit.still);
    for (const follow::ShapeFit& shape : fit.shapes) {
        CHECK(shape.verdict == Verdict::fits);
        CHECK(shape.mapping == follow::Mapping{});
    }
}

TEST_CASE("what shows nothing of the scene is lost and says why") {
    const Stage stage;
    const auto follower = follow::Follower::make(shaken::grey(stage.at(0)), kShapes);
    REQUIRE(follower);
    const auto require_lost = [&](const follow::GreyPicture& picture, follow::Loss loss) {
        for (const follow::ShapeFit& shape : follower->fit(picture).shapes) {
            CHECK(shape.verdict == Verdict::lost);
            CHECK(shape.loss == loss);
        }
    };
    require_lost(shaken::grey(shaken::covered(3, kWidth, kHeight)), follow::Loss::no_match);
    const shaken::Luma other = shaken::painted_hall(99, 2400, 1500);
    require_lost(shaken::grey(shaken::filmed(other, stage.hands, 0, {}, kWidth, kHeight)),
                 follow::Loss::no_match);
    require_lost(shaken::grey(shaken::covered(3, 640, 480)), follow::Loss::no_picture);
    require_lost({}, follow::Loss::no_picture);
}

TEST_CASE("the same picture gives the same answer whatever was asked before") {
    const Stage stage;
    const auto follower = follow::Follower::make(shaken::grey(stage.at(0)), kShapes);
    REQUIRE(follower);
    const auto picture = shaken::grey(stage.at(0.4));
    const follow::Fit first = follower->fit(picture);
    (void)follower->fit(shaken::grey(stage.at(0.9)));
    const follow::Fit again = follower->fit(picture);
    REQUIRE(first.shapes.size() == again.shapes.size());
    for (std::size_t i = 0; i < first.shapes.size(); ++i) {
        CHECK(first.shapes[i].mapping == again.shapes[i].mapping);
        CHECK(first.shapes[i].error == again.shapes[i].error);
    }
}

TEST_CASE("a drawing is found from far off without a neighbour to begin from") {
    const Stage stage;
    const auto follower = follow::Follower::make(shaken::grey(stage.at(0)), kShapes);
    REQUIRE(follower);
    const follow::Fit fit = follower->fit(shaken::grey(stage.at(1.3)));
    for (std::size_t i = 0; i < kShapes.size(); ++i) {
        REQUIRE(fit.shapes[i].verdict == Verdict::fits);
        CHECK(shaken::furthest(fit.shapes[i].mapping, stage.truth(1.3), kShapes[i]) < 2);
    }
    CHECK(shaken::furthest(follow::Mapping{}, stage.truth(1.3), kShapes[0]) > 40);  // it is far off
}

TEST_CASE("a wall and a box before it are each followed by what is near them") {
    // The camera moves aside: the wall, which is most of the picture, goes 12 pixels and the box 26.
    const Stage stage;
    const shaken::Luma before = stage.at(0);
    const shaken::Hands nobody(1, 0, kWidth, kHeight, 2400, 1500);
    const shaken::Luma box =
        shaken::filmed(shaken::painted_hall(31, 2400, 1500), nobody, 0, {}, kWidth, kHeight);
    const auto with_box = [&](const shaken::Luma& wall, int shift, int left) {
        shaken::Luma picture = wall;
        for (int y = 0; y < kHeight; ++y)
            for (int x = shift; x < kWidth; ++x)
                picture.pixels[static_cast<std::size_t>(y * kWidth + x)] =
                    wall.pixels[static_cast<std::size_t>(y * kWidth + x - shift)];
        for (int y = 500; y < 800; ++y)
            for (int x = 0; x < 500; ++x)
                picture.pixels[static_cast<std::size_t>(y * kWidth + left + x)] =
                    box.pixels[static_cast<std::size_t>(y * kWidth + 300 + x)];
        return picture;
    };
    const std::vector<std::vector<follow::Point>> shapes{
        {{450, 600}, {650, 600}, {650, 700}, {450, 700}},       // on the box
        {{1200, 300}, {1400, 310}, {1390, 360}, {1200, 350}}};  // on the wall
    const auto follower = follow::Follower::make(shaken::grey(with_box(before, 0, 300)), shapes);
    REQUIRE(follower);
    const follow::Fit fit = follower->fit(shaken::grey(with_box(before, 12, 326)));
    REQUIRE(fit.shapes[0].verdict == Verdict::fits);
    REQUIRE(fit.shapes[1].verdict == Verdict::fits);
    CHECK(shaken::furthest(fit.shapes[0].mapping, {{1, 0, 26, 0, 1, 0, 0, 0, 1}}, shapes[0]) < 2);
    CHECK(shaken::furthest(fit.shapes[1].mapping, {{1, 0, 12, 0, 1, 0, 0, 0, 1}}, shapes[1]) < 1);
}

TEST_CASE("a still without detail cannot be followed from and says what to do") {
    const shaken::Luma flat{640, 360, std::vector<std::uint8_t>(640 * 360, 90)};
    const auto made = follow::Follower::make(shaken::grey(flat), {{{10, 10}}});
    REQUIRE_FALSE(made);
    CHECK(made.error().sentence.english().find("Draw on a frame that shows more") != std::string::npos);
    const test::InLanguage german("de");
    const auto again = follow::Follower::make(shaken::grey(flat), {{{10, 10}}});
    REQUIRE_FALSE(again);
    CHECK(again.error().sentence == made.error().sentence);
    CHECK(again.error().spoken() ==
          "Das Bild, auf dem gezeichnet wurde, hat zu wenige Einzelheiten, um in anderen Bildern "
          "wiedergefunden zu "
          "werden. Auf einem Bild zeichnen, das mehr von der Halle zeigt.");
}
