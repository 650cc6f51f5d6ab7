// Checks beyond reading: which codes a changed book gets, and what they say.
#include <catch2/catch.hpp>
#include <set>

#include "course/check.h"
#include "course/read.h"
#include "course/test_text.h"

using namespace plumbmark::course;

namespace {

CourseBook sample() {
    return *read_book(file_text("sample_clips/pier-nine.course")).book;
}

std::vector<std::string> codes(const CourseBook& book) {
    std::vector<std::string> all;
    for (const Finding& finding : check_book(book))
        all.push_back(finding.code);
    return all;
}

using Codes = std::vector<std::string>;

}  // namespace

TEST_CASE("the sample meet's book has nothing to check twice") {
    CHECK(check_book(sample()).empty());
}

TEST_CASE("every check has its own code and says what it looks for") {
    std::set<std::string> seen;
    for (const CheckInfo& info : book_checks()) {
        CHECK(seen.insert(info.code).second);
        CHECK(info.about.size() > 20);
    }
    CHECK(seen.size() >= 20);
}

TEST_CASE("a finding names the file, the place, the repair and its code") {
    CourseBook book = sample();
    book.stations[1].start = {book.find_surface("pier_deck")};
    const std::vector<Finding> findings = check_book(book);
    REQUIRE(findings.size() == 1);
    CHECK(has_errors(findings));
    CHECK(
        findings[0].text("pier-nine.course") ==
        "pier-nine.course:35:1: error: Station 'bollard hop' lands on 'coil deck' and shares its exit, but "
        "station "
        "'hawser swing' starts from 'pier deck': nobody could begin it. Let the next station start from the "
        "landing, or write exit = \"free\". [landing-not-next-start]");
    book.stations[0].exit = Exit::free;
    CHECK(codes(book).empty());
}

TEST_CASE("a landing surface that the next station does not start from is a warning") {
    CourseBook book = sample();
    book.stations[0].landing.surfaces.push_back(book.find_surface("quay_deck"));
    CHECK(codes(book) == Codes{"landing-partly-next-start"});
    CHECK_FALSE(has_errors(check_book(book)));
}

TEST_CASE("a surface that is declared and never used is a warning, unless it is declared out of play") {
    CourseBook book = sample();
    book.surfaces.push_back({"net", "net", {}, {16, 1}});
    CHECK(codes(book) == Codes{"surface-unused"});
    book.surfaces.back().out_of_play = true;
    CHECK(codes(book).empty());
}

TEST_CASE("a face that is used spares the surface it belongs to, and one that is not is told") {
    CourseBook book = sample();
    const SurfaceId beam{static_cast<std::int64_t>(book.surfaces.size())};
    book.surfaces.push_back({"beam", "beam", {}, {}});
    book.surfaces.push_back({"beam.top", "top of the beam", beam, {}});
    CHECK(codes(book) == Codes{"surface-unused"});
    book.stations[2].in_play.push_back({SurfaceId{beam.value + 1}, kHands, false, {}, false, {}});
    CHECK(codes(book).empty());
    book.stations[2].in_play.push_back({beam, kHands, false, {}, false, {}});
    CHECK(codes(book) == Codes{"out-of-play-used"});
}

TEST_CASE("an item that is out of play by its declaration is an error") {
    CourseBook book = sample();
    book.stations[2].in_play.push_back({book.find_surface("uprights"), kHands, false, {}, false, {}});
    CHECK(codes(book) == Codes{"out-of-play-used"});
}

TEST_CASE("a required item that comes after itself in a circle can never be touched") {
    CourseBook book = sample();
    std::vector<Item>& items = book.stations[0].in_play;
    items[0].required = true;
    items[0].after = items[1].surface;
    CHECK(codes(book).empty());
    items[1].after = items[0].surface;
    CHECK(codes(book) == Codes{"required-never-touchable", "item-never-touchable"});
}

TEST_CASE("a required item after one that no part may touch can never be touched") {
    CourseBook book = sample();
    std::vector<Item>& items = book.stations[0].in_play;
    items[2].required = true;
    items[2].after = items[0].surface;
    items[0].parts = {};
    CHECK(codes(book) == Codes{"required-never-touchable", "item-never-touchable"});
}

TEST_CASE("a station without a start never begins") {
    CourseBook book = sample();
    book.stations[0].start.clear();
    CHECK(codes(book) == Codes{"surface-unused", "start-empty"});
    book = sample();
    book.stations[1].start.clear();
    CHECK(codes(book) == Codes{"start-empty"});
}

TEST_CASE("a station that nothing completes is an error in each of its forms") {
    CourseBook book = sample();
    Landing& landing = book.stations[2].landing;
    landing.parts = LandingParts::none;
    CHECK(codes(book) == Codes{"no-landing-condition"});
    landing.control = true;
    CHECK(codes(book).empty());
    landing.control = false;
    landing.parts = LandingParts::listed;
    CHECK(codes(book) == Codes{"no-landing-condition"});
    landing.parts = LandingParts::both_feet;
    landing.surfaces.clear();
    CHECK(codes(book) == Codes{"surface-unused", "no-landing-condition"});
}

TEST_CASE("two things with one name are a warning of which the later is told") {
    CourseBook book = sample();
    book.surfaces[3].name = "first bollard";
    book.stations[1].name = "bollard hop";
    CHECK(codes(book) == Codes{"equal-names", "equal-names"});
    CHECK(check_book(book)[0].sentence ==
          "'bollard_1' and 'bollard_2' are both called 'first bollard', so a ruling's sentences cannot tell "
          "these "
          "surfaces apart.");
}

TEST_CASE("a landing that needs a hand and forbids hands is an error") {
    CourseBook book = sample();
    Landing& landing = book.stations[2].landing;
    landing.no_hands_down = true;
    CHECK(codes(book).empty());
    landing.parts = LandingParts::both_hands;
    CHECK(codes(book) == Codes{"hands-down-contradiction"});
    landing.parts = LandingParts::listed;
    landing.listed_parts = {Part::left_foot, Part::left_hand};
    CHECK(codes(book) == Codes{"hands-down-contradiction"});
}

TEST_CASE("a hold beside a control mark is an error") {
    CourseBook book = sample();
    book.stations[2].landing.hold = plumbmark::base::Duration{1};
    book.stations[2].landing.control = true;
    CHECK(codes(book) == Codes{"hold-and-control"});
}

TEST_CASE("a row that asks for nothing, or for what is not in play, is told") {
    CourseBook book = sample();
    book.stations[2].rows[0].max_skipped = 4;
    CHECK(codes(book) == Codes{"row-asks-nothing"});
    book.stations[2].rows[0] = {{book.find_surface("hawser")}, 0, {}};
    CHECK(codes(book) == Codes{"row-member-not-in-play"});
}

TEST_CASE("only the first station can ask to stay behind a plane until the signal") {
    CourseBook book = sample();
    for (std::size_t i : {0U, 1U}) {
        book.stations[i].start_plane = PlaneId{0};
        book.stations[i].start_plane_until = BehindUntil::signal;
    }
    CHECK(codes(book) == Codes{"signal-after-first"});
}

TEST_CASE("a station that lands where it starts is a warning where nothing lies between") {
    CourseBook book = sample();
    book.stations[2].landing.surfaces.push_back(book.find_surface("gantry_deck"));
    CHECK(codes(book).empty());  // three rungs stand between
    book.stations[2].rows.clear();
    CHECK(codes(book) == Codes{"start-is-landing"});
}

TEST_CASE("points and checkpoints mean nothing where the first fail ends the run") {
    CourseBook book = sample();
    book.stations[2].checkpoints.push_back({"half", "half way", book.find_surface("rung_2"), {}, 1, {}});
    CHECK(codes(book) == Codes{"points-without-format"});
    book.format = Format::every_station_counts;
    CHECK(codes(book).empty());
    book.stations[2].checkpoints[0].touched = book.find_surface("hawser");
    CHECK(codes(book) == Codes{"checkpoint-out-of-play"});
}

TEST_CASE("a plane that no station uses and a finish without a name are told") {
    CourseBook book = sample();
    book.planes.push_back({"edge", "edge", {}});
    book.finish.name.clear();
    CHECK(codes(book) == Codes{"plane-unused", "finish-without-place"});
}

TEST_CASE("what only a division's course shows is told with the division's name, and once") {
    CourseBook book = sample();
    Division division;
    division.key = "under_12";
    division.name = "Under 12";
    division.left_out = {StationId{1}};
    book.divisions = {division};
    const std::vector<Finding> findings = check_book(book);
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].code == "landing-not-next-start");
    CHECK(findings[0].sentence.english().find(
              "In division 'Under 12': Station 'bollard hop' lands on 'coil deck'") == 0);
    book.divisions[0].left_out = {StationId{0}, StationId{1}, StationId{2}};
    CHECK(codes(book) == Codes{"no-stations"});
}
