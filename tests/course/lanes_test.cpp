// Lanes: what a book says in one lane is what it would say if the lane's names were written in it.
#include <rapidcheck.h>

#include <catch2/catch.hpp>

#include "course/check.h"
#include "course/random_book.h"
#include "course/read.h"
#include "course/test_text.h"
#include "course/write.h"

using namespace plumbmark::course;

namespace {

const std::string kHead =
    "course = \"Pier Nine trial course\"\nrevision = \"1\"\nformat = \"every station counts\"\n"
    "[surfaces]\n"
    "pier = \"pier deck\"\nbuoy = \"buoy\"\ncoil = \"coil deck\"\nquay = \"quay\"\nbell = \"bell plate\"\n"
    "pier_b = \"pier deck b\"\nbuoy_b = \"buoy b\"\ncoil_b = \"coil deck b\"\nquay_b = \"quay b\"\n"
    "bell_b = \"bell plate b\"\n"
    "beam = { name = \"beam\", faces = { top = \"top of the beam\", side = \"side of the beam\" } }\n"
    "beam_b = { name = \"beam b\", faces = { top = \"top of beam b\", side = \"side of beam b\" } }\n"
    "[planes]\n"
    "line = \"start line\"\nedge = \"edge\"\nline_b = \"start line b\"\nedge_b = \"edge b\"\n";

// Every place in which a station can name a surface or a plane.
const std::string kStations =
    "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"<pier>\"\nstart_plane = \"<line>\"\n"
    "in_play = [ { surface = \"<buoy>\", parts = \"feet\", required = true },\n"
    "  { surface = \"<beam.top>\", parts = \"feet\", after = \"<buoy>\" },\n"
    "  { row = [\"<buoy>\", \"<beam.top>\"], max_skipped = 1 } ]\n"
    "[station.landing]\nsurface = \"<coil>\"\nplane = \"<edge>\"\n"
    "[[station.checkpoint]]\nkey = \"half\"\nname = \"half\"\ntouched = \"<buoy>\"\npoints = 1\n"
    "[[station.checkpoint]]\nkey = \"over\"\nname = \"over\"\ncrossed = \"<edge>\"\npoints = 1\n"
    "[[station]]\nkey = \"walk\"\nname = \"walk\"\nstart = [\"<coil>\"]\n"
    "in_play = [ { surface = \"<beam.side>\", parts = \"hands\" } ]\n"
    "[station.landing]\nsurface = [\"<quay>\", \"<coil>\"]\n"
    "[finish]\nsurface = \"<bell>\"\n"
    "[[division]]\nkey = \"youth\"\nname = \"Youth\"\nleft_out = \"hop\"\n"
    "[[division.station]]\nkey = \"walk\"\nname = \"short walk\"\nstart = [\"<pier>\", \"<coil>\"]\n"
    "[division.station.landing]\nsurface = \"<quay>\"\nplane = { plane = \"<edge>\", by = \"left foot\" }\n";

const std::string kLanes =
    "[[lane]]\nkey = \"a\"\nname = \"lane a\"\n[[lane]]\nkey = \"b\"\nname = \"lane b\"\n"
    "in_place = { pier = \"pier_b\", buoy = \"buoy_b\", coil = \"coil_b\", quay = \"quay_b\", bell = "
    "\"bell_b\", "
    "beam = \"beam_b\", line = \"line_b\", edge = \"edge_b\" }\n";

// The stations with each <name> written as in this lane: <beam.top> as beam_b.top.
std::string stations(const std::string& lane) {
    std::string text;
    for (std::size_t i = 0; i < kStations.size(); ++i) {
        if (kStations[i] != '<') {
            text += kStations[i];
            continue;
        }
        const std::size_t end = kStations.find('>', i);
        const std::string name = kStations.substr(i + 1, end - i - 1);
        const std::size_t dot = std::min(name.find('.'), name.size());
        text += name.substr(0, dot) + lane + name.substr(dot);
        i = end;
    }
    return text;
}

CourseBook book_of(const std::string& text) {
    const auto read = read_book_or_error(text, "");
    INFO((read.ok() ? "" : read.error().text()));
    REQUIRE(read.ok());
    return without_places(*read);
}

}  // namespace

TEST_CASE("a lane's book is the book with the lane's names written in it") {
    const CourseBook book = book_of(kHead + stations("") + kLanes);
    const auto in_lane = lane_book(book, "b");
    REQUIRE(in_lane.ok());
    CHECK(*in_lane == book_of(kHead + stations("_b")));
    CHECK(in_lane->finish.name == "bell plate b");
}

TEST_CASE("a lane that replaces nothing is the book as it is written") {
    const CourseBook book = book_of(kHead + stations("") + kLanes);
    CHECK(*lane_book(book, "a") == book_of(kHead + stations("")));
    CHECK(*run_book(book, "", "") == book);
}

TEST_CASE("what one lane uses is out of play in the other, and stays declared") {
    const CourseBook book = book_of(kHead + stations("") + kLanes);
    const CourseBook lane = *lane_book(book, "b");
    CHECK(lane.surfaces == book.surfaces);
    CHECK(lane.planes == book.planes);
    for (const Item& item : lane.stations[0].in_play)
        CHECK(lane.surface(item.surface).key.find("_b") != std::string::npos);
}

TEST_CASE("a run has its division's stations with its lane's surfaces") {
    const CourseBook book = book_of(kHead + stations("") + kLanes);
    const CourseBook run = *run_book(book, "youth", "b");
    CHECK(run == *division_book(book_of(kHead + stations("_b")), "youth"));
    CHECK(run.stations[0].start ==
          std::vector<SurfaceId>{book.find_surface("pier_b"), book.find_surface("coil_b")});
}

TEST_CASE("a lane or division that is not in the book is told with the nearest") {
    const CourseBook book = book_of(kHead + stations("") + kLanes);
    CHECK(run_book(book, "yuoth", "b").error().text() ==
          "The course book has no division 'yuoth'; did you mean 'youth'?");
    CHECK(run_book(book, "youth", "north").error().text() == "The course book has no lane 'north'.");
    CHECK(run_book(book_of(kHead + stations("")), "", "b").error().text() ==
          "The course book has no lane 'b'; it names none.");
}

TEST_CASE("a signal that has a name of its own keeps it in every lane") {
    std::string text = kHead + stations("") + kLanes;
    text.replace(text.find("[finish]\n"), 9, "[finish]\nname = \"horn\"\n");
    CHECK(lane_book(book_of(text), "b")->finish.name == "horn");
}

TEST_CASE("division and lane can be taken in either order, in any book") {
    CHECK(rc::check("division of the lane, lane of the division", [] {
        const CourseBook book = testing::random_book();
        for (const Division& division : book.divisions) {
            for (const Lane& lane : book.lanes) {
                CourseBook one = *division_book(*lane_book(book, lane.key), division.key);
                RC_ASSERT(one == *run_book(book, division.key, lane.key));
                RC_ASSERT(one.lanes.empty() && one.divisions.empty());
            }
        }
    }));
}

TEST_CASE("a mistake that only a lane has is told with its name, and one of the course once") {
    CourseBook book = book_of(kHead + stations("") + kLanes);
    const std::vector<Finding> before = check_book(book);
    book.stations[0].cap = book.stations[0].landing.hold = plumbmark::base::Duration{1};
    CHECK(check_book(book).size() == before.size() + 1);
    book.stations[0].cap.reset();
    book.lanes[1].surfaces = {{book.find_surface("buoy"), book.find_surface("beam.top")}};
    std::vector<std::string> of_lane;
    for (const Finding& finding : check_book(book)) {
        if (finding.sentence.english().rfind("In lane 'lane b'", 0) == 0) of_lane.push_back(finding.code);
    }
    CHECK(of_lane == std::vector<std::string>{"lane-keeps-both", "item-twice", "row-asks-nothing"});
}
