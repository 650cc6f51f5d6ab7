// What a good course book reads as.
#include <catch2/catch.hpp>

#include "course/read.h"
#include "course/test_text.h"

using namespace plumbmark;
using namespace plumbmark::course;

namespace {

CourseBook book_from(std::string_view text) {
    base::Result<CourseBook> book = read_book_or_error(text, "test");
    INFO((book.ok() ? "" : book.error().text()));
    REQUIRE(book.ok());
    return std::move(book).value();
}

CourseBook sample() {
    return book_from(file_text("sample_clips/pier-nine.course"));
}

CourseBook good() {
    return book_from(file_text("tests/course/cases/good.course"));
}

const std::string kShort =
    "course = \"a\"\nrevision = \"1\"\n[surfaces]\ndeck = \"deck\"\nquay = \"quay\"\n"
    "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"deck\"\nlanding = { surface = \"quay\" }\n";

CourseBook with_station_line(const std::string& line) {
    return book_from(kShort + line + "\n");
}

std::int64_t cap_of(const std::string& value) {
    return with_station_line("cap = " + value).stations[0].cap.value().ns;
}

}  // namespace

TEST_CASE("the sample meet's book has three stations that share their landings") {
    const CourseBook book = sample();
    CHECK(book.name == "Pier Nine Youth Open, harbour hall");
    CHECK(book.revision == "2");
    CHECK(book.format == Format::first_fail_ends);
    REQUIRE(book.stations.size() == 3);
    for (std::size_t i = 0; i + 1 < book.stations.size(); ++i) {
        CHECK(book.stations[i].exit == Exit::shared);
        CHECK(book.stations[i].landing.surfaces == book.stations[i + 1].start);
    }
    CHECK(book.stations[0].key == "bollard_hop");
    CHECK(book.stations[0].landing.parts == LandingParts::any_foot);
    CHECK(book.stations[1].key == "hawser_swing");
    CHECK(book.stations[1].landing.parts == LandingParts::both_feet);
    CHECK(book.stations[2].key == "gantry_rungs");
    CHECK(book.finish.required);
    CHECK(book.finish.name == "bell plate");
    CHECK(book.finish.surface == book.find_surface("bell_plate"));
}

TEST_CASE("the sample meet's book allows feet on the bollards and hands on hawser and rungs") {
    const CourseBook book = sample();
    for (const Item& item : book.stations[0].in_play)
        CHECK(item.parts == kFeet);
    REQUIRE(book.stations[1].in_play.size() == 1);
    CHECK(book.stations[1].in_play[0].parts == kHands);
    REQUIRE(book.stations[2].in_play.size() == 4);
    for (const Item& item : book.stations[2].in_play)
        CHECK(item.parts == kHands);
    REQUIRE(book.stations[2].rows.size() == 1);
    CHECK(book.stations[2].rows[0].members.size() == 4);
    CHECK(book.stations[2].rows[0].members[0] == book.find_surface("rung_1"));
    CHECK(book.stations[2].rows[0].max_skipped == 1);
}

TEST_CASE("the sample meet's second station is landed by the whole athlete past the front plane") {
    const CourseBook book = sample();
    REQUIRE(book.stations[1].landing.planes.size() == 1);
    const PlaneCondition& condition = book.stations[1].landing.planes[0];
    CHECK(condition.plane == book.find_plane("gantry_front_plane"));
    CHECK_FALSE(condition.part.has_value());
}

TEST_CASE("surfaces stand in the order of the file, each followed by its faces") {
    const CourseBook book = good();
    std::vector<std::string> keys;
    for (const Surface& surface : book.surfaces)
        keys.push_back(surface.key);
    CHECK(keys == std::vector<std::string>{"pier_deck", "bollard_1", "bollard_2", "coil_deck", "keel_beam",
                                           "keel_beam.top", "keel_beam.side", "bell_plate", "floor"});
    CHECK(book.surface(book.find_surface("keel_beam.side")).parent == book.find_surface("keel_beam"));
    CHECK(book.surface(book.find_surface("floor")).out_of_play);
    CHECK_FALSE(book.find_surface("keel_beam.bottom").valid());
}

TEST_CASE("every key of a station reads into its field") {
    const CourseBook book = good();
    const Station& hop = book.stations[0];
    CHECK(hop.start_plane == book.find_plane("start_line"));
    CHECK(hop.start_plane_parts == kFeet);
    CHECK(hop.start_plane_until == BehindUntil::signal);
    CHECK(hop.attempts == 2);
    CHECK(hop.cap == base::Duration{30'000'000'000});
    CHECK(hop.landing.hold == base::Duration{1'500'000'000});
    const Station& beam = book.stations[1];
    CHECK(beam.exit == Exit::free);
    CHECK(beam.in_play[0].required);
    CHECK(beam.in_play[1].once);
    CHECK(beam.in_play[1].after == book.find_surface("keel_beam.top"));
    CHECK(beam.in_play[1].parts == PartSet{Part::left_hand, Part::left_foot, Part::right_foot});
    CHECK(beam.landing.surfaces.size() == 2);
    REQUIRE(beam.checkpoints.size() == 1);
    CHECK(beam.checkpoints[0].touched == book.find_surface("keel_beam.top"));
    CHECK(beam.checkpoints[0].points == 2);
    CHECK(book.run_cap == base::Duration{150'000'000'000});
}

TEST_CASE("what a book leaves out has the defaults of the reference table") {
    const CourseBook book = book_from(kShort);
    CHECK(book.format == Format::first_fail_ends);
    CHECK(book.brush_counts);
    CHECK(book.loose_counts);
    CHECK(book.at_cap_is_in_time);
    CHECK(book.false_start == FalseStart::fails_first_station);
    CHECK_FALSE(book.run_cap.has_value());
    CHECK_FALSE(book.finish.required);
    const Station& station = book.stations[0];
    CHECK(station.exit == Exit::shared);
    CHECK(station.attempts == 1);
    CHECK(station.points == 1);
    CHECK_FALSE(station.step_down_allowed);
    CHECK(station.previous_items_neutral);
    CHECK(station.landing.parts == LandingParts::any_foot);
}

TEST_CASE("a landing without surface asks for no contact unless it says so") {
    const CourseBook book = book_from(
        "course = \"a\"\nrevision = \"1\"\n[surfaces]\ndeck = \"deck\"\n[planes]\nedge = \"edge\"\n"
        "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"deck\"\nlanding = { plane = \"edge\" }\n");
    CHECK(book.stations[0].landing.parts == LandingParts::none);
    REQUIRE(book.stations[0].landing.planes.size() == 1);
}

TEST_CASE("landing parts may be listed") {
    const CourseBook book = with_station_line(
        "[[station]]\nkey = \"b\"\nname = \"b\"\nstart = \"quay\"\nlanding = { surface = "
        "\"deck\", parts = [\"left foot\", \"right hand\"], same_surface = true }");
    const Landing& landing = book.stations[1].landing;
    CHECK(landing.parts == LandingParts::listed);
    CHECK(landing.listed_parts == PartSet{Part::left_foot, Part::right_hand});
    CHECK(landing.same_surface);
}

TEST_CASE("lengths of time are exact in every form in which they can be written") {
    // 0.1 and 33.366666667 have no exact double; their nanoseconds have to be those of the decimal text.
    CHECK(cap_of("2") == 2'000'000'000);
    CHECK(cap_of("0.1") == 100'000'000);
    CHECK(cap_of("33.366666667") == 33'366'666'667);
    CHECK(cap_of("86399.999999999") == 86'399'999'999'999);
    CHECK(cap_of("1_0.2_5") == 10'250'000'000);
    CHECK(cap_of("\"0.000000001\"") == 1);
    CHECK(cap_of("\"1.5 s\"") == 1'500'000'000);
    CHECK(cap_of("\"500 ms\"") == 500'000'000);
    CHECK(cap_of("\"0.25 ms\"") == 250'000);
    CHECK(cap_of("\"2:30\"") == 150'000'000'000);
    CHECK(cap_of("\"2:30.5\"") == 150'500'000'000);
    CHECK(cap_of("\"0:01\"") == 1'000'000'000);
    CHECK(cap_of("86400") == 86'400'000'000'000);
}

TEST_CASE("an exact length of time is found behind letters of any script on its line") {
    const CourseBook book = with_station_line(
        "checkpoint = [{ key = \"結び目\", name = \"もやい結び\", touched = \"quay\", points = 1 }]\ncap = "
        "0.3 # 三割");
    CHECK(book.stations[0].cap == base::Duration{300'000'000});
}

TEST_CASE("words may be written with '_' for the space") {
    CHECK(with_station_line("in_play = [{ surface = \"quay\", parts = \"left_hand\" }]")
              .stations[0]
              .in_play[0]
              .parts == PartSet{Part::left_hand});
}

TEST_CASE("names and keys may be Greek, Japanese or Arabic") {
    const CourseBook book = book_from(
        "course = \"Λιμάνι, αίθουσα εννέα\"\nrevision = \"β\"\n[surfaces]\n\"αποβάθρα\" = \"ξύλινη "
        "αποβάθρα\"\n"
        "\"係船柱\" = \"一番目の係船柱\"\n\"حبل\" = \"حبل السفينة\"\n[[station]]\nkey = \"άλμα\"\nname = "
        "\"跳躍\"\n"
        "start = \"αποβάθρα\"\nin_play = [{ surface = \"حبل\", parts = \"hands\" }]\nlanding = { surface = "
        "\"係船柱\" }\n");
    CHECK(book.name == "Λιμάνι, αίθουσα εννέα");
    CHECK(book.surface_name(book.find_surface("حبل")) == "حبل السفينة");
    CHECK(book.find_station("άλμα").valid());
    const ReadBook slip = read_book(
        "course = \"a\"\nrevision = \"1\"\n[surfaces]\n\"係船柱一\" = \"x\"\n[[station]]\nkey = \"b\"\nname "
        "= \"b\"\n"
        "start = \"係船注一\"\nlanding = { surface = \"係船柱一\" }\n");
    REQUIRE(slip.problems.size() == 1);
    CHECK(slip.problems[0].text("") ==
          "8:9: '係船注一' is not a declared surface; expected a surface from [surfaces]. Did you mean "
          "'係船柱一'?");
}

TEST_CASE("a surface may have a heading of its own, in any script") {
    const CourseBook book = book_from(
        "course = \"a\"\nrevision = \"1\"\n[surfaces.deck]\nname = \"deck\"\n[surfaces.\"δοκός\"]\nname = "
        "\"δοκός\"\n"
        "[surfaces.\"δοκός\".faces]\n\"πάνω\" = \"πάνω μέρος\"\n"
        "[[station]]\nkey = \"b\"\nname = \"b\"\nstart = \"deck\"\nlanding.surface = \"δοκός.πάνω\"\n");
    CHECK(book.surface_name(book.stations[0].landing.surfaces.at(0)) == "πάνω μέρος");
}

TEST_CASE("columns count letters, not bytes") {
    const ReadBook read = read_book("\"λιμάνι\" = 1\ncourse = \"λ\" x\n");
    REQUIRE(read.problems.size() == 1);
    CHECK(read.problems[0].place == Place{2, 14});
}

TEST_CASE("lines may end as another system ends them, and a byte order mark may stand in front") {
    const std::string text = file_text("tests/course/cases/good.course");
    std::string windows = "\xEF\xBB\xBF";
    for (char c : text)
        windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
    CHECK(book_from(windows) == book_from(text));
}

TEST_CASE("a division's course has its own stations and leaves out what it leaves out") {
    const CourseBook book = book_from(
        file_text("tests/course/cases/good.course") +
        "run_cap = 90\n[[division.station]]\nkey = \"keel_beam\"\nname = \"low keel beam\"\n"
        "start = \"pier_deck\"\nstart_plane = \"start_line\"\nlanding = { surface = \"coil_deck\" }\n");
    const auto own = division_book(book, "under_12");
    REQUIRE(own.ok());
    REQUIRE(own->stations.size() == 1);
    CHECK(own->stations[0].name == "low keel beam");
    CHECK(own->stations[0].start_plane_until == BehindUntil::signal);  // it comes first there
    CHECK(own->run_cap == base::Duration{90'000'000'000});
    CHECK(own->divisions.empty());
    const auto missing = division_book(book, "under_21");
    REQUIRE_FALSE(missing.ok());
    CHECK(missing.error().text() == "The course book has no division 'under_21'; did you mean 'under_12'?");
}

TEST_CASE("the same text always reads as the same book, places included") {
    CHECK(good() == good());
    CHECK(good().stations[1].place == Place{35, 1});
    CHECK(good().surfaces[3].place == Place{10, 1});
}
