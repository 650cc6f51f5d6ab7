// The briefing against docs/rulings.md, section 4: every member of a definition is spoken of, and in the
// words of the book.
#include "report/briefing.h"

#include <rapidcheck.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <nlohmann/json.hpp>

#include "documents.h"
#include "markup.h"
#include "printed.h"
#include "report/internal/plan_drawing.h"
#include "schema.h"

using namespace plumbmark;
using Catch::Contains;
using course::Part;

namespace {

course::SurfaceId id(std::int64_t surface) {
    return {surface};
}

/// Three stations on twelve surfaces; the middle one uses everything that a station can say.
course::CourseBook full_book() {
    course::CourseBook book;
    book.name = "Pier Nine hall";
    book.revision = "7";
    book.format = course::Format::every_station_counts;
    for (const char* name :
         {"pier deck", "coil deck", "hawser", "first rung", "second rung", "third rung", "quay deck",
          "bell plate", "tarred post", "keel beam", "top of the keel beam", "crate"})
        book.surfaces.push_back({name, name, {}, {}});
    book.surfaces[8].out_of_play = true;
    book.surfaces[10].parent = {9};
    book.planes = {{"front", "front plane", {}}, {"line", "start line", {}}};
    book.finish = {"bell plate", true, course::SurfaceId{7}, {}};
    course::Station first;
    first.key = "hop";
    first.name = "bollard hop";
    first.start = {id(0)};
    first.landing.surfaces = {id(1)};
    course::Station full = first;
    full.key = "rungs";
    full.name = "gantry rungs";
    full.start = {id(1)};
    full.start_plane = course::PlaneId{1};
    full.start_plane_parts = course::kFeet;
    const auto item = [](std::int64_t surface, bool required, std::optional<course::SurfaceId> after) {
        return course::Item{id(surface), course::kHands, required, after, after.has_value(), {}};
    };
    full.in_play = {item(2, true, {}), item(3, false, id(2)), item(4, false, id(2))};
    course::ItemRow row;
    row.members = {id(3), id(4)};
    row.max_skipped = 1;
    full.rows = {row};
    full.landing.surfaces = {id(6), id(1)};
    full.landing.parts = course::LandingParts::both_feet;
    full.landing.planes = {course::PlaneCondition{course::PlaneId{0}, std::nullopt, {}}};
    full.landing.hold = base::Duration{1'500'000'000};
    full.attempts = 3;
    full.cap = base::Duration{90'000'000'000};
    full.rest_limit = base::Duration{20'000'000'000};
    full.checkpoints = {course::Checkpoint{"half", "half way", id(3), std::nullopt, 2, {}}};
    full.points = 5;
    course::Station last = first;
    last.key = "beam";
    last.name = "keel beam walk";
    book.stations = {first, full, last};
    return book;
}

/// The full book with a plan of most of what its middle station has.
course::CourseBook planned_book() {
    course::CourseBook book = full_book();
    const auto area = [](std::int64_t surface, double from, double to) {
        course::SurfacePlan plan;
        plan.surface = id(surface);
        plan.outline = {{from, -0.6}, {to, -0.6}, {to, 0.6}, {from, 0.6}};
        return plan;
    };
    course::SurfacePlan hawser, rung;
    hawser.surface = id(2);
    hawser.line = {{2, 0, 4}, {2, 0, 2}};
    rung.surface = id(3);
    rung.line = {{3, -0.5, 2.5}, {3, 0.5, 2.5}};
    book.plan.surfaces = {area(1, 0, 1.2), area(6, 5, 6.2), hawser, rung, area(0, -3, -2)};
    book.plan.planes = {{course::PlaneId{0}, {5, -0.6}, {5, 0.6}, {6, 0}, {}, {}}};
    return book;
}

/// What the sentences say: the drawings speak of some of it as well.
std::string said(const course::CourseBook& book) {
    report::BriefingDocument document = report::briefing_of(book);
    for (report::BriefingStation& station : document.stations)
        station.plan = {};
    return report::briefing_json(document);
}

/// A change to the middle station must change what is said; else its member is not spoken of.
void speaks_of(const char* member, const std::function<void(course::CourseBook&, course::Station&)>& change) {
    course::CourseBook changed = full_book();
    change(changed, changed.stations[1]);
    INFO(member);
    CHECK(said(changed) != said(full_book()));
}

std::vector<std::string> sentences_of(const course::CourseBook& book, std::size_t station,
                                      const char* topic) {
    const nlohmann::json json = nlohmann::json::parse(said(book));
    for (const auto& point : json["stations"][station]["points"])
        if (point["topic"] == topic) return point["sentences"];
    return {};
}

std::string joined(const std::vector<std::string>& sentences) {
    std::string out;
    for (const std::string& sentence : sentences)
        out += sentence + " ";
    return out;
}

}  // namespace

TEST_CASE("every member of a station is spoken of in its briefing") {
    // A member that is added to the structure makes these lines fail to compile until it stands below.
    const course::Station whole = full_book().stations[1];
    [[maybe_unused]] const auto& [key, name, start, start_plane, start_plane_parts, in_play, rows, landing,
                                  exit, attempts, cap, rest_limit, step_down_allowed, previous_items_neutral,
                                  checkpoints, points, place, start_plane_until] = whole;
    CHECK(place == course::Place{});  // where it stands in the file is nothing to brief on

    speaks_of("key", [](auto&, auto& s) { s.key += "_b"; });
    speaks_of("name", [](auto&, auto& s) { s.name += " b"; });
    speaks_of("start", [](auto&, auto& s) { s.start.push_back({0}); });
    speaks_of("start_plane", [](auto&, auto& s) { s.start_plane = course::PlaneId{0}; });
    speaks_of("no start_plane", [](auto&, auto& s) { s.start_plane.reset(); });
    speaks_of("start_plane_parts", [](auto&, auto& s) { s.start_plane_parts.add(Part::left_hand); });
    speaks_of("start_plane_until", [](auto&, auto& s) { s.start_plane_until = course::BehindUntil::signal; });
    speaks_of("in_play", [](auto&, auto& s) {
        s.in_play.push_back({id(5), course::kHands, false, {}, false, {}});
    });
    speaks_of("rows", [](auto&, auto& s) { s.rows.clear(); });
    speaks_of("landing", [](auto&, auto& s) { s.landing = {}; });
    speaks_of("exit", [](auto&, auto& s) { s.exit = course::Exit::free; });
    speaks_of("attempts", [](auto&, auto& s) { s.attempts = 2; });
    speaks_of("cap", [](auto&, auto& s) { s.cap = base::Duration{91'000'000'000}; });
    speaks_of("no cap", [](auto&, auto& s) { s.cap.reset(); });
    speaks_of("rest_limit", [](auto&, auto& s) { s.rest_limit.reset(); });
    speaks_of("step_down_allowed", [](auto&, auto& s) { s.step_down_allowed = true; });
    speaks_of("previous_items_neutral", [](auto&, auto& s) { s.previous_items_neutral = false; });
    speaks_of("checkpoints", [](auto&, auto& s) { s.checkpoints.clear(); });
    speaks_of("points", [](auto&, auto& s) { s.points = 6; });
}

TEST_CASE("every member of an item, a row, a landing and a checkpoint is spoken of") {
    const course::Station whole = full_book().stations[1];
    [[maybe_unused]] const auto& [surface, parts, required, after, once, item_place] = whole.in_play.front();
    [[maybe_unused]] const auto& [members, max_skipped, row_place] = whole.rows.front();
    [[maybe_unused]] const auto& [surfaces, landing_parts, planes, hold, control, no_hands_down,
                                  landing_place, listed_parts, same_surface] = whole.landing;
    [[maybe_unused]] const auto& [plane, part, plane_place] = whole.landing.planes.front();
    [[maybe_unused]] const auto& [key, name, touched, crossed, points, checkpoint_place] =
        whole.checkpoints.front();

    speaks_of("item.surface", [](auto&, auto& s) { s.in_play[0].surface = {5}; });
    speaks_of("item.parts", [](auto&, auto& s) { s.in_play[0].parts = course::kFeet; });
    speaks_of("item.required", [](auto&, auto& s) { s.in_play[0].required = false; });
    speaks_of("item.after", [](auto&, auto& s) { s.in_play[1].after.reset(); });
    speaks_of("item.once", [](auto&, auto& s) { s.in_play[1].once = false; });
    speaks_of("row.members", [](auto&, auto& s) { std::swap(s.rows[0].members[0], s.rows[0].members[1]); });
    speaks_of("row.max_skipped", [](auto&, auto& s) { s.rows[0].max_skipped = 0; });
    speaks_of("landing.surfaces", [](auto&, auto& s) { s.landing.surfaces.pop_back(); });
    speaks_of("landing.parts", [](auto&, auto& s) { s.landing.parts = course::LandingParts::any_foot; });
    speaks_of("landing.planes", [](auto&, auto& s) { s.landing.planes.clear(); });
    speaks_of("landing.plane", [](auto&, auto& s) { s.landing.planes[0].plane = {1}; });
    speaks_of("landing.plane by", [](auto&, auto& s) { s.landing.planes[0].part = Part::left_foot; });
    speaks_of("landing.hold", [](auto&, auto& s) { s.landing.hold = base::Duration{1'500'000'001}; });
    speaks_of("landing.control", [](auto&, auto& s) { s.landing.control = true; });
    speaks_of("landing.no_hands_down", [](auto&, auto& s) { s.landing.no_hands_down = true; });
    speaks_of("landing.same_surface", [](auto&, auto& s) { s.landing.same_surface = true; });
    const auto listed = [](course::Station& s, course::PartSet which) {
        s.landing.parts = course::LandingParts::listed;
        s.landing.listed_parts = which;
    };
    course::CourseBook one = full_book(), other = full_book();
    listed(one.stations[1], {Part::left_hand, Part::right_foot});
    listed(other.stations[1], {Part::right_hand, Part::right_foot});
    CHECK(said(one) != said(other));
    speaks_of("checkpoint.name", [](auto&, auto& s) { s.checkpoints[0].name = "nearly there"; });
    speaks_of("checkpoint.touched", [](auto&, auto& s) { s.checkpoints[0].touched = course::SurfaceId{4}; });
    speaks_of("checkpoint.crossed", [](auto&, auto& s) {
        s.checkpoints[0].touched.reset();
        s.checkpoints[0].crossed = course::PlaneId{0};
    });
    speaks_of("checkpoint.points", [](auto&, auto& s) { s.checkpoints[0].points = 3; });
}

TEST_CASE("what a book says of the course as a whole is spoken of") {
    const course::CourseBook whole = full_book();
    [[maybe_unused]] const auto& [name, revision, format, brush, loose, at_cap, false_start, run_cap,
                                  surfaces, planes, stations, finish, divisions, lanes, plan] = whole;
    CHECK((divisions.empty() && lanes.empty()));  // a briefing is of one division's, one lane's own book
    speaks_of("name", [](auto& b, auto&) { b.name = "another hall"; });
    speaks_of("revision", [](auto& b, auto&) { b.revision = "8"; });
    speaks_of("format", [](auto& b, auto&) { b.format = course::Format::first_fail_ends; });
    speaks_of("brush_counts", [](auto& b, auto&) { b.brush_counts = false; });
    speaks_of("loose_counts", [](auto& b, auto&) { b.loose_counts = false; });
    speaks_of("at_cap_is_in_time", [](auto& b, auto&) { b.at_cap_is_in_time = false; });
    speaks_of("false_start", [](auto& b, auto&) { b.false_start = course::FalseStart::no_effect; });
    speaks_of("run_cap", [](auto& b, auto&) { b.run_cap = base::Duration{300'000'000'000}; });
    speaks_of("finish.name", [](auto& b, auto&) { b.finish.name = "button"; });
    speaks_of("finish.required", [](auto& b, auto&) { b.finish.required = false; });
    speaks_of("finish.surface", [](auto& b, auto&) { b.finish.surface.reset(); });
    speaks_of("surface.out_of_play", [](auto& b, auto&) { b.surfaces[8].out_of_play = false; });
    speaks_of("surface.parent", [](auto& b, auto&) { b.surfaces[10].parent = {}; });
}

TEST_CASE("a briefing says what is in play, for which limbs, in which order, in the book's own names") {
    const course::CourseBook book = full_book();
    CHECK_THAT(joined(sentences_of(book, 1, "start")), Contains("Set off from the coil deck."));
    CHECK_THAT(joined(sentences_of(book, 1, "start_plane")),
               Contains("Keep feet behind the start line until the athlete sets off"));
    const std::string in_play = joined(sentences_of(book, 1, "in_play"));
    CHECK_THAT(in_play, Contains("With hands only: the hawser. A touch by any other part fails."));
    CHECK_THAT(in_play, Contains("The hawser must be touched before the landing completes the station."));
    CHECK_THAT(in_play,
               Contains("Each of the first rung and the second rung may be touched only after the hawser"));
    CHECK_THAT(in_play, Contains("may be used once"));
    CHECK_THAT(
        joined(sentences_of(book, 1, "row")),
        Contains("Take the first rung and then the second rung in this order; one of them may be left out."));
    const std::string landing = joined(sentences_of(book, 1, "landing"));
    CHECK_THAT(landing, Contains("Get both feet onto the quay deck or the coil deck"));
    CHECK_THAT(landing, Contains("The whole athlete must be past the front plane"));
    CHECK_THAT(joined(sentences_of(book, 1, "hold")), Contains("Hold it for 1.5 s without a break"));
    CHECK_THAT(joined(sentences_of(book, 1, "times")),
               Contains("Cap: 1:30 min from the first setting off") && Contains("at most 20 s"));
    CHECK_THAT(joined(sentences_of(book, 1, "points")),
               Contains("A clear brings 5 points.") &&
                   Contains("2 points for half way, reached by touching the first rung"));
    CHECK_THAT(joined(sentences_of(book, 0, "start")), Contains("begins at the start signal"));
    CHECK_THAT(joined(sentences_of(book, 2, "exit")), Contains("last station"));
}

TEST_CASE("what is out of play stands at the head of a briefing") {
    const report::BriefingDocument document = report::briefing_of(full_book());
    REQUIRE(!document.foremost.empty());
    CHECK_THAT(document.foremost.front(), Contains("Everything that a station does not name is out of play"));
    CHECK_THAT(report::briefing_text(document), Contains("Out of play everywhere: the tarred post."));
}

TEST_CASE("the rules of appeals follow from the meet's settings, each of them spoken of") {
    const auto all = [](const meet::AppealRules& rules) { return joined(report::appeal_sentences(rules)); };
    meet::AppealRules usual;
    [[maybe_unused]] const auto& [minutes, who, fee, most, may_worsen, when_unshown, signatures, alone] =
        usual;
    CHECK_THAT(all(usual), Contains("athlete or coach") &&
                               Contains("within 30 minutes of the announcement") &&
                               Contains("the call on the floor stands"));
    const auto changed = [&](auto change) {
        meet::AppealRules rules;
        change(rules);
        return all(rules);
    };
    CHECK(changed([](auto& r) { r.minutes = 10; }) != all(usual));
    CHECK(changed([](auto& r) { r.minutes = 0; }) != all(usual));
    CHECK(changed([](auto& r) { r.who = {meet::Capacity::club}; }) != all(usual));
    CHECK(changed([](auto& r) { r.fee = "20 EUR"; }) != all(usual));
    CHECK(changed([](auto& r) { r.most = 1; }) != all(usual));
    CHECK(changed([](auto& r) { r.may_worsen = true; }) != all(usual));
    CHECK(changed([](auto& r) { r.when_unshown = meet::WhenUnshown::rerun; }) != all(usual));
    CHECK(changed([](auto& r) { r.signatures = 2; }) != all(usual));
    CHECK(changed([](auto& r) { r.judge_decides_alone = true; }) != all(usual));
}

TEST_CASE("a briefing as JSON fits its schema") {
    for (const course::CourseBook& book : {full_book(), planned_book()}) {
        const nlohmann::json json = nlohmann::json::parse(report::briefing_json(report::briefing_of(book)));
        CHECK(test::misfits(test::schema_of_docs("briefing.schema.json"), json) ==
              std::vector<std::string>{});
    }
}

TEST_CASE("a station's drawing shows what it has, as the plan says, and names what the plan lacks") {
    const course::CourseBook book = planned_book();
    const report::BriefingDocument document = report::briefing_of(book);
    CHECK(document.stations[0].plan.places.size() == 2);
    const report::BriefingPlan& plan = document.stations[1].plan;
    using Form = report::BriefingPlace::Form;
    std::vector<std::string> told;
    for (const report::BriefingPlace& place : plan.places) {
        std::string roles;
        for (const std::string& role : place.roles)
            roles += ", " + role;
        told.push_back(place.name + roles);
    }
    CHECK(told == std::vector<std::string>{"coil deck, start, landing", "hawser, in play",
                                           "first rung, in play, checkpoint", "quay deck, landing",
                                           "front plane, to be passed"});
    CHECK(plan.places[1].form == Form::line);
    CHECK(plan.places[1].points == std::vector<course::PlanPoint>{{2, 0}});  // it hangs straight down
    CHECK(plan.places[2].points == std::vector<course::PlanPoint>{{3, -0.5}, {3, 0.5}});
    CHECK(plan.places[4].form == Form::plane);
    CHECK(plan.places[4].past == course::PlanPoint{6, 0});
    CHECK(plan.missing == std::vector<std::string>{"second rung", "start line"});
    CHECK(report::briefing_of(full_book()).stations[1].plan.places.empty());
    CHECK(report::briefing_of(full_book()).stations[1].plan.missing.empty());
}

TEST_CASE("a drawing is to scale, lies within its frame, and has a number for each place") {
    const report::BriefingPlan plan = report::briefing_of(planned_book()).stations[1].plan;
    const report::PlanDrawing drawing = report::plan_drawing(plan);
    using report::paper::Stroke;
    using report::paper::StrokeKind;
    std::vector<std::string> numbers;
    std::vector<Stroke> areas;
    for (const Stroke& stroke : drawing.strokes) {
        const double room = stroke.kind == StrokeKind::ring ? stroke.size : 0;
        for (const auto& [x, y] : stroke.points) {
            CHECK((x - room >= 0 && x + room <= drawing.width));
            CHECK((y - room >= 0 && y + room <= drawing.height));
        }
        if (stroke.kind == StrokeKind::text) numbers.push_back(stroke.words);
        if (stroke.kind == StrokeKind::closed_line) areas.push_back(stroke);
    }
    REQUIRE(areas.size() == 2);
    const auto wide = [](const Stroke& area) { return area.points[1][0] - area.points[0][0]; };
    const auto high = [](const Stroke& area) { return area.points[0][1] - area.points[3][1]; };
    CHECK(wide(areas[0]) == Approx(high(areas[0])));
    CHECK(wide(areas[0]) == Approx(wide(areas[1])));
    // 5 m from the one's edge to the other's, against 1.2 m of its width; y grows upwards.
    CHECK((areas[1].points[0][0] - areas[0].points[0][0]) / wide(areas[0]) == Approx(5 / 1.2));
    CHECK(areas[0].points[2][1] < areas[0].points[1][1]);
    REQUIRE(numbers.size() == plan.places.size() + 1);
    for (std::size_t i = 0; i < plan.places.size(); ++i)
        CHECK(numbers[i] == std::to_string(i + 1));
}

TEST_CASE("a plan of any size is drawn within its frame, and its arrow points to where the plane is passed") {
    CHECK(rc::check([] {
        const auto metres = [] { return *rc::gen::inRange(-100'000, 100'000) / 100.0; };
        report::BriefingPlan plan;
        const double x = metres() / 2, y = metres() / 2, size = *rc::gen::inRange(1, 40'000) / 100.0;
        plan.places.push_back({report::BriefingPlace::Form::area,
                               "deck",
                               {"start"},
                               {{x, y}, {x + size, y}, {x + size, y + size}},
                               {}});
        report::BriefingPlace plane{report::BriefingPlace::Form::plane,
                                    "front",
                                    {"to be passed"},
                                    {{metres(), metres()}, {metres() + 0.005, metres() + 0.005}},
                                    {}};
        const double along_x = plane.points[1][0] - plane.points[0][0],
                     along_y = plane.points[1][1] - plane.points[0][1];
        const double side = *rc::gen::element(-1.0, 1.0);
        plane.past = {plane.points[0][0] - side * along_y, plane.points[0][1] + side * along_x};
        RC_PRE(std::hypot(along_x, along_y) > 0.5);
        plan.places.push_back(plane);
        const report::PlanDrawing drawing = report::plan_drawing(plan);
        for (const auto& stroke : drawing.strokes)
            for (const auto& [px, py] : stroke.points)
                RC_ASSERT(px >= 0 && px <= drawing.width && py >= 0 && py <= drawing.height);
        // The strokes: the deck, the plane on its white ground, the arrow's shaft.
        const auto& shaft = drawing.strokes.at(3).points;
        const double right = shaft[1][0] - shaft[0][0], up = shaft[0][1] - shaft[1][1];
        RC_ASSERT(side * (right * -along_y + up * along_x) > 0);
    }));
}

TEST_CASE("a briefing's page is well-formed, and hostile names change nothing of its shape") {
    const auto page = [](const char* name) {
        course::CourseBook book = planned_book();
        book.name = book.revision = book.finish.name = name;
        for (course::Surface& surface : book.surfaces)
            surface.name = name;
        for (course::Station& station : book.stations)
            station.name = name;
        book.planes[0].name = book.planes[1].name = name;
        return test::read_markup(report::briefing_html(report::briefing_of(book)));
    };
    CHECK(page("a name").fault == "");
    CHECK(page(test::kHostile).fault == "");
    CHECK(page(test::kHostile).shape == page("a name").shape);
}

TEST_CASE("a briefing on paper says every sentence that it has, without words over each other") {
    if (!test::poppler_is_here()) return;
    course::CourseBook book = planned_book();
    while (book.stations.size() < 40)
        book.stations.push_back(book.stations[1]);
    const report::BriefingDocument document = report::briefing_of(book);
    const auto pdf = report::briefing_pdf(document);
    REQUIRE(pdf);
    CHECK(*pdf == *report::briefing_pdf(document));
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", *pdf));
    const nlohmann::json json = nlohmann::json::parse(report::briefing_json(document));
    for (const auto& station : json["stations"])
        for (const auto& point : station["points"])
            for (const auto& sentence : point["sentences"]) {
                const std::string words = test::squeezed(sentence);
                INFO(words);
                // A page may end within a sentence: its head and its tail are looked for.
                CHECK_THAT(text, Contains(words.substr(0, 20)) && Contains(words.substr(words.size() - 14)));
            }
    CHECK(test::misplaced(test::placed_words(*pdf)) == std::vector<std::string>{});
    const auto pages = test::pages_as_text(*pdf);
    for (const std::string& page : pages)
        CHECK_THAT(page, Contains(" of " + std::to_string(pages.size())));
}
