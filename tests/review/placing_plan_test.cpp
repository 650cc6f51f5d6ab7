// From a course book's plan to what a map of camera places is worked out from, and back into words.
#include "review/placing_plan.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <thread>

#include "course/read.h"
#include "review/placing_job.h"
#include "review/placing_told.h"
#include "support/file_bytes.h"
#include "support/test_places.h"

using namespace plumbmark;

namespace {

course::CourseBook book_of(const std::string& text) {
    auto read = course::read_book_or_error(text, "trial.course");
    INFO((read ? "" : read.error().text()));
    REQUIRE(read);
    return *read;
}

course::CourseBook pier_nine() {
    return book_of(test::bytes_of(test::source_folder() / "sample_clips/pier-nine.course"));
}

/// Two decks that meet under a plane, a crate that stands off, and a line over the crate.
std::string decks(const std::string& plan) {
    return "course = \"trial\"\nrevision = \"1\"\n[surfaces]\npier = \"pier deck\"\nquay = \"quay deck\"\n"
           "crate = \"crate\"\n[planes]\nfront = \"front plane\"\nback = \"back plane\"\nside = \"side\"\n"
           "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
           "in_play = [{ surface = [\"crate\"], parts = \"feet\" }]\n"
           "[station.landing]\nsurface = \"quay\"\nparts = \"any foot\"\nplane = { plane = \"front\", by = "
           "\"whole "
           "athlete\" }\n" +
           plan;
}

const std::string kDecks =
    "[plan]\n[plan.surfaces]\n"
    "pier = { outline = [[0, 0], [2, 0], [2, 2], [0, 2]], top = 0.4 }\n"
    "quay = { outline = [[2, 0], [4, 0], [4, 2], [2, 2]], top = 0.9 }\n"
    "crate = { outline = [[8, 0], [9, 0], [9, 1], [8, 1]], top = 0.3 }\n"
    "[plan.planes]\n"
    "front = { line = [[2, 0], [2, 2]], past = [3, 1] }\n"
    "back = { line = [[2, 2], [2, 0]], past = [1, 1] }\n";

review::PlacingWish wish(const std::string& plane) {
    review::PlacingWish out;
    out.plane = plane;
    return out;
}

std::string refusal(const course::CourseBook& book, const review::PlacingWish& of) {
    const auto placing = review::placing_plan(book, of);
    REQUIRE_FALSE(placing);
    return placing.error().text();
}

/// Coarse, so that a test takes no time.
review::Placing coarse() {
    review::PlacingWish of = wish("gantry_front_plane");
    of.cell = 3;
    of.around = 7;
    auto placing = review::placing_plan(pier_nine(), of);
    REQUIRE(placing);
    return *placing;
}

}  // namespace

TEST_CASE("what is stood on at a plane is the deck on its far side where two meet under it") {
    const course::CourseBook book = book_of(decks(kDecks));
    const auto front = review::placing_plan(book, wish("front"));
    REQUIRE(front);
    CHECK(front->surface == "quay deck");
    CHECK(front->away == 0);
    CHECK(front->plan.level.height == 0.9);
    CHECK(front->plan.air_height == Approx(0.9 + review::kUsualAir));
    const auto back = review::placing_plan(book, wish("back"));
    REQUIRE(back);
    CHECK(back->surface == "pier deck");
    CHECK(back->plan.plane.past_is_left == front->plan.plane.past_is_left);  // other way round, other side
    CHECK(back->supposed_tape);
}

TEST_CASE("a plane that touches nothing is measured on the nearest outline and it is said how far that is") {
    const course::CourseBook book =
        book_of(decks(kDecks + "side = { line = [[6.5, -1], [6.5, 3]], past = [7, 0] }\n"));
    const auto placing = review::placing_plan(book, wish("side"));
    REQUIRE(placing);
    CHECK(placing->surface == "crate");
    CHECK(placing->away == Approx(1.5));
    bool said = false;
    for (const base::Sentence& one : review::supposed_words(*placing))
        said |= one.english() ==
                "No surface of the plan touches the plane; crate is the nearest one, 1.50 m away.";
    CHECK(said);
}

TEST_CASE("a plane that passes through a deck stands on it") {
    const course::CourseBook book =
        book_of(decks(kDecks + "side = { line = [[8.5, -1], [8.5, 3]], past = [9, 0] }\n"));
    const auto placing = review::placing_plan(book, wish("side"));
    REQUIRE(placing);
    CHECK(placing->surface == "crate");
    CHECK(placing->away == 0);
}

TEST_CASE("the floor holds the plan and eight metres around it and has the middle of the plane in a cell's") {
    const review::PlacingWish of = wish("gantry_front_plane");
    const auto placing = review::placing_plan(pier_nine(), of);
    REQUIRE(placing);
    const sight::FloorGrid& floor = placing->plan.floor;
    // The plan reaches from -0.1 to 10.45 along x, and to 0.62 at either side.
    CHECK(floor.x_from <= -8.1);
    CHECK(floor.x_from > -8.1 - of.cell);
    CHECK(floor.x_to >= 18.45);
    CHECK(floor.x_to < 18.45 + of.cell);
    CHECK(floor.y_from <= -8.62);
    CHECK(floor.y_to >= 8.62);
    CHECK((floor.x_to - floor.x_from) / floor.columns == Approx(of.cell));
    CHECK((floor.y_to - floor.y_from) / floor.rows == Approx(of.cell));
    bool middle = false;
    for (std::size_t i = 0; i < floor.count(); ++i) {
        const sight::FloorPlace at = floor.middle(i);
        middle |= std::abs(at.x - 6.25) < 1e-9 && std::abs(at.y) < 1e-9;
    }
    CHECK(middle);
    CHECK(placing->plan.places.size() == review::plan_spots(pier_nine()).size());
    CHECK(placing->surface == "gantry deck");
    CHECK_FALSE(placing->supposed_tape);
}

TEST_CASE("places of surfaces with one name are told apart by their keys") {
    std::string text = decks(kDecks);
    text.replace(text.find("\"quay deck\""), 11, "\"pier deck\"");
    const auto placing = review::placing_plan(book_of(text), wish("front"));
    REQUIRE(placing);
    CHECK(placing->plan.places[0].name == "pier deck, corner 1 (pier)");
    CHECK(placing->plan.places[4].name == "pier deck, corner 1 (quay)");
    CHECK(placing->plan.places[8].name == "crate, corner 1");
}

TEST_CASE("a measured lens is taken as it was measured") {
    meet::CameraLens lens;
    lens.camera = "phone at the pier end";
    lens.width = 1280;
    lens.height = 720;
    lens.fx = lens.fy = 640;
    lens.cx = 641;
    lens.cy = 359;
    lens.k1 = -0.1;
    lens.focal_standard = 0.002;
    review::PlacingWish of = wish("gantry_front_plane");
    review::take_lens(of, lens);
    CHECK(review::degrees_across(of) == Approx(90));
    CHECK_FALSE(of == wish("gantry_front_plane"));
    const auto placing = review::placing_plan(pier_nine(), of);
    REQUIRE(placing);
    CHECK(placing->plan.knowledge == sight::LensKnowledge::measured);
    CHECK(placing->plan.lens.cx == 641);
    CHECK(placing->plan.lens_standard.focal == 0.002);
    CHECK(
        review::supposed_words(*placing).front().english().find(
            "Its lens is that of phone at the pier end, as it was measured: 90° wide, 1280 x 720 pixels.") !=
        std::string::npos);
}

TEST_CASE("what a map cannot be made of is refused with what to do") {
    CHECK(refusal(book_of(decks("")), wish("front")) ==
          "The course book has no plan, so nothing says where its surfaces and planes are. Write their "
          "measures under [plan].");
    const std::string no_planes = kDecks.substr(0, kDecks.find("[plan.planes]"));
    CHECK(refusal(book_of(decks(no_planes)), wish("front")) ==
          "The course book's plan does not say where a plane is. Write its line under [plan.planes].");
    CHECK(refusal(book_of(decks(kDecks)), wish("font")) ==
          "The course book has no plane 'font'. Its plan has: front and back.");
    CHECK(refusal(book_of(decks(kDecks)), wish("side")) ==
          "The course book's plan does not say where the plane 'side' is. It has: front and back.");
    const std::string ropes =
        "[plan]\n[plan.surfaces]\ncrate = { line = [[0, 0, 2], [0, 0, 4]] }\n[plan.planes]\n"
        "front = { line = [[2, 0], [2, 2]], past = [3, 1] }\n";
    CHECK(refusal(book_of(decks(ropes)), wish("front")) ==
          "The course book's plan has no surface with an outline, so nothing says what is stood on at the "
          "plane. Write one under [plan.surfaces].");
    review::PlacingWish high = wish("front");
    high.air = 4;
    CHECK(refusal(book_of(decks(kDecks)), high) ==
          "A part 4.00 m over quay deck is not looked for: anything in the air is, from -0.90 to 2.80 m over "
          "it.");
    review::PlacingWish no_cell = wish("front");
    no_cell.cell = 0;
    CHECK_FALSE(review::placing_plan(book_of(decks(kDecks)), no_cell));
}

TEST_CASE("a map is told by its best places and by why the others are none") {
    const review::Placing placing = coarse();
    const auto map = sight::worth_map(placing.plan);
    REQUIRE(map);
    review::PlacingAsked asked;
    asked.bound = 0.1;
    const review::BestPlaces best = review::best_places(*map, asked);
    REQUIRE(best.keep);
    REQUIRE_FALSE(best.cells.empty());
    // Beside the plane nothing in the air is told within 10 cm: the best ones stand in it.
    for (const std::size_t cell : best.cells)
        CHECK(map->floor.middle(cell).x == Approx(6.25));
    asked.bound = 1e-6;
    CHECK_FALSE(review::best_places(*map, asked).keep);
    CHECK(review::best_places(*map, asked).cells == best.cells);

    std::size_t without = 0;
    for (const sight::PlaceWorth& worth : map->each)
        without += std::isfinite(sight::width(worth, sight::Wanted::both)) ? 0 : 1;
    std::size_t told = 0;
    for (const review::PlacingReason& reason : review::reasons(*map, sight::Wanted::both)) {
        told += reason.cells;
        CHECK_FALSE(reason.words.empty());
        CHECK_FALSE(reason.remedy.empty());
    }
    CHECK(told == without);
    CHECK(without > 0);

    const auto picture = review::placing_picture(pier_nine(), placing, *map, asked);
    REQUIRE(picture.widths.size() == map->each.size());
    for (std::size_t i = 0; i < picture.widths.size(); ++i)
        CHECK(picture.widths[i] == sight::width(map->each[i], sight::Wanted::both));
    REQUIRE(picture.best.size() == best.cells.size());
    CHECK(picture.best.front().says == review::worth_words(placing, map->each[best.cells.front()]));
    CHECK(picture.surfaces.size() == pier_nine().plan.surfaces.size());
    CHECK(picture.plane[0] == course::PlanPoint{6.25, -0.62});
}

TEST_CASE("what a place is worth is said of both widths or with what is in the way") {
    const review::Placing placing = coarse();
    sight::PlaceWorth worth;
    worth.calibrated = true;
    worth.in_air = 0.028;
    worth.on_level = 0.009;
    CHECK(review::worth_words(placing, worth).english() ==
          "in the air within 28 mm, on gantry deck within 9.0 mm");
    worth.on_level = INFINITY;
    worth.level = sight::Hindrance::not_from_above;
    CHECK(
        review::worth_words(placing, worth).english() ==
        "in the air within 28 mm; on gantry deck nothing: The surface is not seen from above. Put the camera "
        "higher.");
    CHECK(review::hindrance_of(worth, sight::Wanted::both) == sight::Hindrance::not_from_above);
    CHECK(review::hindrance_of(worth, sight::Wanted::in_air) == sight::Hindrance::none);
    worth = {};
    worth.seen = 2;
    worth.calibration = worth.level = worth.air = sight::Hindrance::too_few;
    CHECK(review::worth_words(placing, worth) == sight::said(sight::Hindrance::too_few, worth));
    CHECK(review::hindrance_of(worth, sight::Wanted::in_air) == sight::Hindrance::too_few);
}

namespace {

std::vector<review::PlacingJob::Answer> answers(review::PlacingJob& job) {
    std::vector<review::PlacingJob::Answer> out;
    for (int i = 0; i < 60'000; ++i) {
        const bool done = job.done();
        if (auto one = job.take()) out.push_back(std::move(*one));
        if (done) return out;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    FAIL("the map did not come");
    return out;
}

}  // namespace

TEST_CASE("a map worked out in the background is the one that is worked out at once") {
    const review::Placing placing = coarse();
    review::PlacingJob job({placing.plan}, std::nullopt, {});
    const auto found = answers(job);
    REQUIRE(found.size() == 1);
    REQUIRE(found.front());
    const auto at_once = sight::worth_map(placing.plan);
    REQUIRE(at_once);
    CHECK((**found.front()).each == at_once->each);
    CHECK(job.progress() == 1);

    review::PlacingJob pair({placing.plan}, sight::FloorPlace{6.25, 0}, {});
    const auto refused = answers(pair);
    REQUIRE(refused.size() == 1);
    CHECK_FALSE(refused.front());
}

TEST_CASE("a map that nobody waits for any more is stopped within a place of it") {
    review::PlacingWish fine = wish("gantry_front_plane");
    fine.cell = 0.05;  // minutes
    const auto placing = review::placing_plan(pier_nine(), fine);
    REQUIRE(placing);
    std::optional<review::PlacingJob> job;
    job.emplace(std::vector{placing->plan}, std::nullopt, [] {});
    while (job->progress() == 0)
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    CHECK_FALSE(job->done());
    job.reset();  // comes back, or the test's time is over
}
