// For every check a book that has what it looks for, and one that nearly has it. The books begin as the
// sample meet's, which has nothing to find.
#include <catch2/catch.hpp>
#include <functional>
#include <set>

#include "course/check.h"
#include "course/read.h"
#include "course/test_text.h"
#include "support/in_language.h"

using namespace plumbmark::course;
using plumbmark::base::Duration;

namespace {

using Alter = std::function<void(CourseBook&)>;

struct Case {
    std::string code;
    std::string title;
    Alter has_it;
    Alter near_miss;
    std::set<std::string> beside = {};  ///< other codes that the same mistake gets
};

Duration seconds(std::int64_t count) {
    return {count * 1'000'000'000};
}

Item item(SurfaceId surface, PartSet parts = kFeet) {
    Item made;
    made.surface = surface;
    made.parts = parts;
    return made;
}

SurfaceId surface(const CourseBook& book, const char* key) {
    return book.find_surface(key);
}

SurfaceId add_surface(CourseBook& book, const std::string& key, const std::string& name) {
    Surface made;
    made.key = key;
    made.name = name;
    book.surfaces.push_back(made);
    return {static_cast<std::int64_t>(book.surfaces.size()) - 1};
}

/// The same book with a surface of this key and name in play on its first station.
Alter with_surface(const std::string& key, const std::string& name) {
    return [=](CourseBook& book) { book.stations[0].in_play.push_back(item(add_surface(book, key, name))); };
}

PlaneId add_plane(CourseBook& book) {
    book.planes.push_back({"swing_line", "line before the swing", {}});
    return {static_cast<std::int64_t>(book.planes.size()) - 1};
}

void add_pegs_up_to(CourseBook& book, std::size_t in_play) {
    for (Station& station = book.stations[1]; station.in_play.size() < in_play;) {
        Surface peg;
        peg.key = "peg_" + std::to_string(station.in_play.size());
        peg.name = "peg " + std::to_string(station.in_play.size());
        book.surfaces.push_back(peg);
        station.in_play.push_back(item(surface(book, peg.key.c_str())));
    }
}

void pass(Station& station, PlaneId plane, std::optional<Part> by) {
    station.landing.planes.push_back({plane, by, {}});
}

void stay_behind(Station& station, PlaneId plane, PartSet parts) {
    station.start_plane = plane;
    station.start_plane_parts = parts;
    station.start_plane_until = BehindUntil::set_off;
}

Division division(const std::string& key, const std::string& name) {
    Division made;
    made.key = key;
    made.name = name;
    return made;
}

std::vector<Case> continuity_cases() {
    return {
        {"no-stations", "a course of no station, or of one",
         [](CourseBook& b) {
             b.divisions = {division("under_12", "Under 12")};
             b.divisions[0].left_out = {StationId{0}, StationId{1}, StationId{2}};
         },
         [](CourseBook& b) {
             b.divisions = {division("under_12", "Under 12")};
             b.divisions[0].left_out = {StationId{1}, StationId{2}};
         }},
        {"too-large", "65 items in play on a station, or 64", [](CourseBook& b) { add_pegs_up_to(b, 65); },
         [](CourseBook& b) { add_pegs_up_to(b, 64); }},
        {"landing-not-next-start", "a final hold by both hands where the next station has no start",
         [](CourseBook& b) {
             b.stations[1].landing.surfaces = {surface(b, "hawser")};
             b.stations[1].landing.parts = LandingParts::both_hands;
         },
         [](CourseBook& b) {
             b.stations[1].landing.surfaces = {surface(b, "hawser")};
             b.stations[1].landing.parts = LandingParts::both_hands;
             b.stations[2].start = {surface(b, "hawser")};
             b.stations[2].in_play.push_back(item(surface(b, "gantry_deck")));
         }},
        {"landing-partly-next-start", "a landing of two surfaces of which one leads on, or both",
         [](CourseBook& b) { b.stations[0].landing.surfaces.push_back(surface(b, "quay_deck")); },
         [](CourseBook& b) {
             b.stations[0].landing.surfaces.push_back(surface(b, "quay_deck"));
             b.stations[1].start.push_back(surface(b, "quay_deck"));
         }},
        {"signal-after-first", "a start plane until the signal on the second station, or the first",
         [](CourseBook& b) {
             stay_behind(b.stations[1], add_plane(b), kFeet);
             b.stations[1].start_plane_until = BehindUntil::signal;
         },
         [](CourseBook& b) {
             stay_behind(b.stations[0], add_plane(b), kFeet);
             b.stations[0].start_plane_until = BehindUntil::signal;
         }},
        {"start-plane-passed",
         "a landing past the plane that the next station starts behind, or by another part",
         [](CourseBook& b) {
             const PlaneId plane = add_plane(b);
             pass(b.stations[0], plane, Part::left_foot);
             stay_behind(b.stations[1], plane, kFeet);
         },
         [](CourseBook& b) {
             const PlaneId plane = add_plane(b);
             pass(b.stations[0], plane, Part::left_foot);
             stay_behind(b.stations[1], plane, kHands);
         }},
        {"start-plane-passed", "the whole athlete past it, with a shared exit or a free one",
         [](CourseBook& b) {
             const PlaneId plane = add_plane(b);
             pass(b.stations[0], plane, std::nullopt);
             stay_behind(b.stations[1], plane, kHands);
         },
         [](CourseBook& b) {
             const PlaneId plane = add_plane(b);
             pass(b.stations[0], plane, std::nullopt);
             stay_behind(b.stations[1], plane, kHands);
             b.stations[0].exit = Exit::free;
         }},
        {"plane-passed-again", "two stations in a row past one plane, or past two planes",
         [](CourseBook& b) { pass(b.stations[0], PlaneId{0}, std::nullopt); },
         [](CourseBook& b) { pass(b.stations[0], add_plane(b), std::nullopt); }},
        {"plane-passed-again", "by the same part, or first by a part and then by the whole athlete",
         [](CourseBook& b) {
             pass(b.stations[0], PlaneId{0}, Part::left_foot);
             b.stations[1].landing.planes[0].part = Part::left_foot;
         },
         [](CourseBook& b) { pass(b.stations[0], PlaneId{0}, Part::left_foot); }},
        {"finish-without-place", "a required finish of no name, or one that is not required",
         [](CourseBook& b) { b.finish.name.clear(); },
         [](CourseBook& b) {
             b.finish.name.clear();
             b.finish.required = false;
         }},
        {"points-without-format", "points where a fail ends the run, or where every station counts",
         [](CourseBook& b) { b.stations[0].points = 3; },
         [](CourseBook& b) {
             b.stations[0].points = 3;
             b.format = Format::every_station_counts;
         }},
    };
}

std::vector<Case> station_cases() {
    return {
        {"start-empty", "no start", [](CourseBook& b) { b.stations[1].start.clear(); },
         [](CourseBook& b) { b.stations[1].start.push_back(surface(b, "pier_deck")); }},
        {"no-landing-condition", "a landing of no contact alone, or with a plane",
         [](CourseBook& b) { b.stations[2].landing.parts = LandingParts::none; },
         [](CourseBook& b) {
             b.stations[2].landing.parts = LandingParts::none;
             pass(b.stations[2], add_plane(b), std::nullopt);
         }},
        {"hold-and-control", "a hold and a control mark, or a hold",
         [](CourseBook& b) {
             b.stations[2].landing.hold = seconds(2);
             b.stations[2].landing.control = true;
         },
         [](CourseBook& b) { b.stations[2].landing.hold = seconds(2); }},
        {"hands-down-contradiction", "a landing by any hand, or by any part, without hands down",
         [](CourseBook& b) {
             b.stations[2].landing.no_hands_down = true;
             b.stations[2].landing.parts = LandingParts::any_hand;
         },
         [](CourseBook& b) {
             b.stations[2].landing.no_hands_down = true;
             b.stations[2].landing.parts = LandingParts::any_part;
         }},
        {"required-never-touchable", "a required item that only gear may touch, which does not count or does",
         [](CourseBook& b) {
             b.loose_counts = false;
             b.stations[0].in_play[0].parts = {Part::loose};
             b.stations[0].in_play[0].required = true;
         },
         [](CourseBook& b) {
             b.stations[0].in_play[0].parts = {Part::loose};
             b.stations[0].in_play[0].required = true;
         }},
        {"item-never-touchable", "an item after itself, or after the one before it",
         [](CourseBook& b) { b.stations[0].in_play[1].after = b.stations[0].in_play[1].surface; },
         [](CourseBook& b) { b.stations[0].in_play[1].after = b.stations[0].in_play[0].surface; }},
        {"item-never-touchable", "a circle of three, or a chain of three",
         [](CourseBook& b) {
             auto& items = b.stations[0].in_play;
             items[0].after = items[1].surface;
             items[1].after = items[2].surface;
             items[2].after = items[0].surface;
         },
         [](CourseBook& b) {
             auto& items = b.stations[0].in_play;
             items[0].after = items[1].surface;
             items[1].after = items[2].surface;
         }},
        {"row-never-taken",
         "a row whose first surface comes after its last, with one skip or with three",
         [](CourseBook& b) {
             b.stations[2].in_play[0].after = surface(b, "rung_4"), b.stations[2].rows[0].max_skipped = 0;
         },
         [](CourseBook& b) {
             b.stations[2].in_play[0].after = surface(b, "rung_4"), b.stations[2].rows[0].max_skipped = 1;
         },
         {"item-never-touchable"}},
        {"required-after-landing", "a required item after a landing surface, or after an item beside it",
         [](CourseBook& b) {
             b.stations[0].in_play.push_back(item(surface(b, "coil_deck")));
             b.stations[0].in_play[0].required = true;
             b.stations[0].in_play[0].after = surface(b, "coil_deck");
         },
         [](CourseBook& b) {
             b.stations[0].in_play.push_back(item(surface(b, "coil_deck")));
             b.stations[0].in_play[0].required = true;
             b.stations[0].in_play[0].after = surface(b, "bollard_2");
         }},
        {"required-after-landing", "a required item two steps after the landing, or one that is not required",
         [](CourseBook& b) {
             auto& items = b.stations[0].in_play;
             items.push_back(item(surface(b, "coil_deck")));
             items[1].after = surface(b, "coil_deck");
             items[0].after = items[1].surface;
             items[0].required = true;
         },
         [](CourseBook& b) {
             auto& items = b.stations[0].in_play;
             items.push_back(item(surface(b, "coil_deck")));
             items[1].after = surface(b, "coil_deck");
             items[0].after = items[1].surface;
         }},
        {"required-after-landing", "a row in which the landing comes before the end, or at the end",
         [](CourseBook& b) {
             b.stations[2].in_play.push_back(item(surface(b, "quay_deck")));
             auto& row = b.stations[2].rows[0];
             row.max_skipped = 0;
             row.members.insert(row.members.begin() + 2, surface(b, "quay_deck"));
         },
         [](CourseBook& b) {
             b.stations[2].in_play.push_back(item(surface(b, "quay_deck")));
             b.stations[2].rows[0].max_skipped = 0;
             b.stations[2].rows[0].members.push_back(surface(b, "quay_deck"));
         }},
        {"landing-by-loose", "a landing by gear, which does not count or does",
         [](CourseBook& b) {
             b.stations[2].landing.parts = LandingParts::listed;
             b.stations[2].landing.listed_parts = {Part::left_foot, Part::loose};
             b.loose_counts = false;
         },
         [](CourseBook& b) {
             b.stations[2].landing.parts = LandingParts::listed;
             b.stations[2].landing.listed_parts = {Part::left_foot, Part::loose};
         }},
        {"item-twice", "one surface in play twice, or on two stations",
         [](CourseBook& b) { b.stations[1].in_play.push_back(item(surface(b, "hawser"))); },
         [](CourseBook& b) { b.stations[2].in_play.push_back(item(surface(b, "hawser"))); }},
        {"row-asks-nothing", "a row of which all may be skipped, or all but one",
         [](CourseBook& b) { b.stations[2].rows[0].max_skipped = 4; },
         [](CourseBook& b) { b.stations[2].rows[0].max_skipped = 3; }},
        {"row-member-not-in-play", "a row with a surface of another station, or with one that has an item",
         [](CourseBook& b) { b.stations[2].rows[0].members[3] = surface(b, "hawser"); },
         [](CourseBook& b) {
             b.stations[2].rows[0].members[3] = surface(b, "hawser");
             b.stations[2].in_play.push_back(item(surface(b, "hawser"), kHands));
         }},
        {"start-is-landing", "a landing where it starts, with rungs that may be left out or not",
         [](CourseBook& b) {
             b.stations[2].landing.surfaces.push_back(surface(b, "gantry_deck"));
             b.stations[2].rows.clear();
         },
         [](CourseBook& b) { b.stations[2].landing.surfaces.push_back(surface(b, "gantry_deck")); }},
        {"start-is-landing", "a landing where it starts, alone or past a plane",
         [](CourseBook& b) {
             b.stations[2].landing.surfaces.push_back(surface(b, "gantry_deck"));
             b.stations[2].rows.clear();
         },
         [](CourseBook& b) {
             b.stations[2].landing.surfaces.push_back(surface(b, "gantry_deck"));
             b.stations[2].rows.clear();
             pass(b.stations[2], add_plane(b), std::nullopt);
         }},
        {"checkpoint-out-of-play", "a checkpoint on another station's item, or on its own",
         [](CourseBook& b) {
             b.format = Format::every_station_counts;
             b.stations[2].checkpoints.push_back({"half", "half", surface(b, "hawser"), {}, 1, {}});
         },
         [](CourseBook& b) {
             b.format = Format::every_station_counts;
             b.stations[2].checkpoints.push_back({"half", "half", surface(b, "rung_2"), {}, 1, {}});
         }},
    };
}

std::vector<Case> time_cases() {
    return {
        {"hold-not-below-cap", "a hold as long as the cap of a station with rungs, or shorter",
         [](CourseBook& b) {
             b.stations[2].cap = seconds(5);
             b.stations[2].landing.hold = seconds(5);
         },
         [](CourseBook& b) {
             b.stations[2].cap = seconds(5);
             b.stations[2].landing.hold = {seconds(5).ns - 1};
         }},
        {"hold-not-below-cap",
         "a hold as long as the cap where the landing may be the set-off: late or in time",
         [](CourseBook& b) {
             b.stations[0].cap = seconds(5);
             b.stations[0].landing.hold = seconds(5);
             b.at_cap_is_in_time = false;
         },
         [](CourseBook& b) {
             b.stations[0].cap = seconds(5);
             b.stations[0].landing.hold = seconds(5);
         }},
        {"hold-not-below-cap", "a hold as long as the run may take, or shorter",
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[2].landing.hold = seconds(60);
         },
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[2].landing.hold = seconds(59);
         }},
        {"holds-fill-run-cap", "holds that fill the run together, or leave a nanosecond",
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[0].landing.hold = seconds(30);
             b.stations[2].landing.hold = seconds(30);
         },
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[0].landing.hold = seconds(30);
             b.stations[2].landing.hold = {seconds(30).ns - 1};
         }},
        {"holds-fill-run-cap", "holds that fill the run where all must be cleared, or where each counts",
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[0].landing.hold = b.stations[1].landing.hold = seconds(40);
         },
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[0].landing.hold = b.stations[1].landing.hold = seconds(40);
             b.format = Format::every_station_counts;
         }},
        {"limit-beyond-run-cap", "a station's cap as long as the run's, or shorter",
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[1].cap = seconds(60);
         },
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[1].cap = seconds(59);
         }},
        {"limit-beyond-run-cap", "a rest longer than the run, or one where the run has no end",
         [](CourseBook& b) {
             b.run_cap = seconds(60);
             b.stations[1].rest_limit = seconds(90);
         },
         [](CourseBook& b) { b.stations[1].rest_limit = seconds(90); }},
        {"hold-longer-than-rest", "a hold longer than the rest after it, or as long",
         [](CourseBook& b) {
             b.stations[0].landing.hold = seconds(5);
             b.stations[1].rest_limit = seconds(3);
         },
         [](CourseBook& b) {
             b.stations[0].landing.hold = seconds(3);
             b.stations[1].rest_limit = seconds(3);
         }},
        {"rest-limit-not-counted", "a rest limit after a free exit, or before one",
         [](CourseBook& b) {
             b.stations[0].exit = Exit::free;
             b.stations[1].rest_limit = seconds(3);
         },
         [](CourseBook& b) {
             b.stations[0].exit = Exit::free;
             b.stations[0].rest_limit = seconds(3);
         }},
    };
}

std::vector<Case> naming_cases() {
    return {
        {"equal-names", "two surfaces of one name, or a surface and a plane", with_surface("mast", "hawser"),
         with_surface("mast", "front plane of the gantry deck")},
        {"equal-names", "two divisions of one name, or a division and a station",
         [](CourseBook& b) {
             b.divisions = {division("a", "Youth"), division("b", "Youth")};
         },
         [](CourseBook& b) {
             b.divisions = {division("a", "Youth"), division("b", "hawser swing")};
         }},
        {"names-alike", "names one letter apart, or two", with_surface("mast", "hawsar"),
         with_surface("mast", "hawsel rope")},
        {"names-alike", "two letters swapped, or not beside each other", with_surface("mast", "hawesr"),
         with_surface("mast", "hawrse")},
        {"names-alike", "capitals alone, or another word", with_surface("mast", "Coil Deck"),
         with_surface("mast", "Coir deck hatch")},
        {"names-alike", "a plural, or a number", with_surface("mast", "hawsers"),
         with_surface("mast", "hawser 2")},
        {"names-alike", "keys that differ in how words are joined, or in a number",
         with_surface("coil-deck", "iron buoy"), with_surface("coil_deck_2", "iron buoy")},
        {"names-alike", "a nought for an O in a key, or another number",
         with_surface("c0il_deck", "iron buoy"), with_surface("bollard_4", "iron buoy")},
        {"names-alike", "an l for a 1, or a 5", with_surface("rung_l", "iron buoy"),
         with_surface("rung_5", "iron buoy")},
        {"surface-unused", "a surface for nothing, or out of play",
         [](CourseBook& b) { add_surface(b, "net", "net"); },
         [](CourseBook& b) {
             add_surface(b, "net", "net");
             b.surfaces.back().out_of_play = true;
         }},
        {"out-of-play-used", "an item out of play, or one in play",
         [](CourseBook& b) { b.stations[2].in_play.push_back(item(surface(b, "uprights"))); },
         [](CourseBook& b) { b.stations[2].in_play.push_back(item(surface(b, "pier_deck"))); }},
        {"plane-unused", "a plane that nobody crosses, or one for a checkpoint",
         [](CourseBook& b) { add_plane(b); },
         [](CourseBook& b) {
             b.format = Format::every_station_counts;
             b.stations[1].checkpoints.push_back({"half", "half", {}, add_plane(b), 1, {}});
         }},
    };
}

Lane lane(const std::string& key, const std::string& name) {
    Lane made;
    made.key = key;
    made.name = name;
    return made;
}

/// A lane in which 'here' stands in place of the surface of this key.
void add_lane(CourseBook& book, const char* usual, SurfaceId here) {
    book.lanes.push_back(lane("seaside", "seaside lane"));
    book.lanes.back().surfaces = {{surface(book, usual), here}};
}

std::vector<Case> lane_cases() {
    return {
        {"equal-names", "two lanes of one name, or of two",
         [](CourseBook& b) {
             b.lanes = {lane("a", "north lane"), lane("b", "north lane")};
         },
         [](CourseBook& b) {
             b.lanes = {lane("a", "north lane"), lane("b", "south lane")};
         }},
        {"names-alike", "lanes of names one letter apart, or told apart by a letter",
         [](CourseBook& b) {
             b.lanes = {lane("one", "inner lane"), lane("two", "inner lame")};
         },
         [](CourseBook& b) {
             b.lanes = {lane("one", "lane a"), lane("two", "lane b")};
         }},
        {"surface-unused", "a surface for no lane, or for one",
         [](CourseBook& b) { add_surface(b, "coil_deck_b", "coil deck of lane b"); },
         [](CourseBook& b) {
             add_lane(b, "coil_deck", add_surface(b, "coil_deck_b", "coil deck of lane b"));
         }},
        {"plane-unused", "a plane for no lane, or for one", [](CourseBook& b) { add_plane(b); },
         [](CourseBook& b) {
             b.lanes = {lane("a", "north lane")};
             b.lanes[0].planes = {{PlaneId{0}, add_plane(b)}};
         }},
        {"lane-replaces-nothing", "a lane in place of the floor, or of a deck",
         [](CourseBook& b) { add_lane(b, "floor", add_surface(b, "coil_deck_b", "coil deck of lane b")); },
         [](CourseBook& b) {
             add_lane(b, "coil_deck", add_surface(b, "coil_deck_b", "coil deck of lane b"));
         }},
        {"lane-keeps-both", "a deck that stands in two places, or two that change places",
         [](CourseBook& b) { add_lane(b, "coil_deck", surface(b, "quay_deck")); },
         [](CourseBook& b) {
             add_lane(b, "coil_deck", surface(b, "quay_deck"));
             b.lanes[0].surfaces.push_back({surface(b, "quay_deck"), surface(b, "coil_deck")});
         }},
        {"item-twice",
         "a lane with one rung in two places, or with a rung of its own",
         [](CourseBook& b) { add_lane(b, "rung_1", surface(b, "rung_2")); },
         [](CourseBook& b) { add_lane(b, "rung_1", add_surface(b, "rung_1b", "first rung of lane b")); },
         {"lane-keeps-both"}},
    };
}

std::vector<Case> all_cases() {
    std::vector<Case> all;
    for (const auto& some : {continuity_cases(), station_cases(), time_cases(), naming_cases(), lane_cases()})
        all.insert(all.end(), some.begin(), some.end());
    return all;
}

// The same findings, in the same English, with a German sentence and repair each.
void expect_german(const CourseBook& book) {
    const std::vector<Finding> english = check_book(book);
    const plumbmark::test::InLanguage german("de");
    const std::vector<Finding> both = check_book(book);
    CHECK(both == english);
    for (const Finding& finding : both) {
        INFO(finding.sentence.spoken() << " " << finding.repair.spoken());
        CHECK(finding.sentence.spoken() != finding.sentence.english());
        CHECK(finding.sentence.spoken().back() == '.');
        CHECK(finding.repair.spoken() != finding.repair.english());
        CHECK(finding.repair.spoken().back() == '.');
    }
}

std::set<std::string> codes_after(const Alter& alter) {
    CourseBook book = *read_book(file_text("sample_clips/pier-nine.course")).book;
    alter(book);
    std::set<std::string> codes;
    for (const Finding& finding : check_book(book)) {
        INFO(finding.text(""));
        CHECK(finding.sentence.english().back() == '.');
        CHECK(finding.repair.english().back() == '.');
        codes.insert(finding.code);
    }
    expect_german(book);
    return codes;
}

// Every finding of a book of the project, a line each.
std::string told_of(const std::string& file) {
    const ReadBook read = read_book(file_text(file));
    REQUIRE(read.book.has_value());
    std::string told;
    for (const Finding& finding : check_book(*read.book))
        told += finding.text(file) + "\n";
    return told;
}

}  // namespace

TEST_CASE("every check finds what it looks for, and leaves the near miss alone") {
    for (const Case& one : all_cases()) {
        DYNAMIC_SECTION(one.code << ": " << one.title) {
            std::set<std::string> wanted = one.beside;
            wanted.insert(one.code);
            CHECK(codes_after(one.has_it) == wanted);
            CHECK(codes_after(one.near_miss).empty());
        }
    }
}

TEST_CASE("every check of the list has a book that has it and a near miss") {
    std::set<std::string> tried;
    for (const Case& one : all_cases())
        tried.insert(one.code);
    for (const CheckInfo& info : book_checks()) {
        INFO(info.code);
        CHECK(tried.count(info.code) == 1);
    }
}

TEST_CASE("the books of the project are free of findings, but for one that is known") {
    for (const char* file :
         {"sample_clips/pier-nine.course", "tests/real/gym.course", "tests/real/gym-strict.course"})
        CHECK(told_of(file) == "");
    // tests/real/README.md: this plane is declared for the crossings alone.
    CHECK(told_of("tests/real/walkers.course").find("Plane 'tape' is declared, but no station uses it") !=
          std::string::npos);
    CHECK(told_of("tests/real/walkers.course").find('\n') + 1 == told_of("tests/real/walkers.course").size());
}
