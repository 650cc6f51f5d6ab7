// What the engine refuses before it rules: evidence that does not fit the book or its clips, and courses and
// reviews beyond its size, at the limit and one over it.
#include <algorithm>
#include <catch2/catch.hpp>

#include "ruling/case_file.h"

using namespace plumbmark;
using base::Category;
using test::RuleCase;

namespace {

RuleCase hop() {
    return test::read_cases(R"(--- course
course = "hop"
revision = "1"
[surfaces]
deck = "deck"
quay = "quay deck"
[planes]
front = "front plane"
[[station]]
key = "hop"
name = "hop"
start = "deck"
landing = { surface = "quay", plane = "front" }
--- case: one
at 0 left foot on deck
signal start @ 0..1
release left foot deck @ 5..6
cross whole athlete front forward @ 8..9
touch left foot quay @ 10..11
watch 0..120 everything
)",
                            "limits")
        .front();
}

base::Result<ruling::RunRuling> ruled(const RuleCase& one) {
    ruling::Settings settings = one.settings;
    settings.explain = false;
    return ruling::rule_run(one.book, one.evidence, settings);
}

/// Refused as bad input, or as beyond what the engine takes, with these words.
void expect_refused(const RuleCase& one, const std::string& words, Category category = Category::bad_input) {
    const auto ruling = ruled(one);
    REQUIRE_FALSE(ruling.ok());
    CHECK(ruling.error().category == category);
    CHECK_THAT(ruling.error().text(), Catch::Contains(words));
}

course::Surface surface(const std::string& key) {
    course::Surface made;
    made.key = made.name = key;
    return made;
}

/// A book with so many surfaces that its one station uses, all of them as landings.
RuleCase with_landings(std::size_t count) {
    RuleCase one = hop();
    one.book.surfaces.resize(1);
    one.book.stations[0].landing.surfaces.clear();
    one.evidence.marks.pop_back();
    for (std::size_t i = 0; i < count; ++i) {
        one.book.stations[0].landing.surfaces.push_back(
            course::SurfaceId{static_cast<std::int64_t>(one.book.surfaces.size())});
        one.book.surfaces.push_back(surface("landing_" + std::to_string(i)));
    }
    return one;
}

}  // namespace

TEST_CASE("a mark that names what the book or the review does not have is refused with its number",
          "[limits]") {
    REQUIRE(ruled(hop()).ok());
    RuleCase one = hop();
    one.evidence.marks[1].alternatives = {ruling::Release{course::Part::left_foot, course::SurfaceId{2}}};
    expect_refused(one, "mark 3: it names a surface that the course book does not have");
    one = hop();
    one.evidence.marks[3].alternatives = {ruling::Touch{course::Part::left_foot, course::SurfaceId{7}}};
    expect_refused(one, "mark 5: it names a surface that the course book does not have");
    one = hop();
    one.evidence.marks[2].alternatives = {ruling::Cross{{}, course::PlaneId{1}, ruling::Direction::forward}};
    expect_refused(one, "mark 4: it names a plane that the course book does not have");
    one.evidence.marks[2].alternatives = {ruling::Cross{{}, course::PlaneId{}, ruling::Direction::forward}};
    expect_refused(one, "mark 4: it names a plane that the course book does not have");
    one = hop();
    one.evidence.marks[0].sightings[0].clip = ruling::ClipIndex{1};
    expect_refused(one, "mark 2: it names a clip that the review does not have");
    one.evidence.marks[0].sightings[0].clip = ruling::ClipIndex{};
    expect_refused(one, "mark 2: it names a clip that the review does not have");
    one = hop();
    one.evidence.marks[0].alternatives.clear();
    expect_refused(one, "mark 2: it names no event");
}

TEST_CASE("an empty bracket, a span that runs backwards and a number given twice are refused", "[limits]") {
    RuleCase one = hop();
    one.evidence.marks[0].sightings[0].until = one.evidence.marks[0].sightings[0].after;
    expect_refused(one, "mark 2: its bracket is empty");
    one = hop();
    one.evidence.spans[0].until = one.evidence.spans[0].after;
    expect_refused(one, "mark 6: the watched span ends before it begins");
    one = hop();
    one.evidence.spans[0].id = one.evidence.marks[0].id;
    expect_refused(one, "mark 2: two marks of the review have the same number");
    one = hop();
    one.evidence.contacts[0].id = one.evidence.marks[0].id;
    expect_refused(one, "mark 2: two marks of the review have the same number");
}

TEST_CASE("statements and spans that name what is not there are refused", "[limits]") {
    RuleCase one = hop();
    one.evidence.contacts[0].surface = course::SurfaceId{2};
    expect_refused(one, "mark 1: it names a surface that the course book does not have");
    one = hop();
    one.evidence.contacts[0].clip = ruling::ClipIndex{1};
    expect_refused(one, "mark 1: it names a clip that the review does not have");
    one = hop();
    one.evidence.spans[0].scope.surfaces = {course::SurfaceId{2}};
    expect_refused(one, "mark 6: it names a surface that the course book does not have");
    one = hop();
    one.evidence.spans[0].scope.planes = {course::PlaneId{1}};
    expect_refused(one, "mark 6: it names a plane that the course book does not have");
    one = hop();
    one.evidence.clips[0].row_delay = {-1};
    expect_refused(one, "row delay is negative");
    one.evidence.clips[0].row_delay = {0};
    CHECK(ruled(one).ok());
}

TEST_CASE("512 marks are taken and 513 are refused", "[limits]") {
    RuleCase one = hop();
    const ruling::Mark touch = one.evidence.marks.back();
    one.evidence.marks.pop_back();
    for (std::int64_t k = 0; one.evidence.marks.size() < 512; ++k) {
        ruling::Mark next = touch;
        next.id = ruling::MarkId{1'000 + k};
        const bool comes = k % 2 == 0;
        if (!comes) next.alternatives = {ruling::Release{course::Part::left_foot, course::SurfaceId{1}}};
        next.sightings[0].after = base::Time{400'000'000 + k * 1'000};
        next.sightings[0].until = base::Time{400'000'000 + (k + 1) * 1'000};
        one.evidence.marks.push_back(next);
    }
    CHECK(ruled(one).ok());
    ruling::Mark over = touch;
    over.id = ruling::MarkId{9'000};
    one.evidence.marks.push_back(over);
    expect_refused(one, "at most 512 marks", Category::unsupported);
}

TEST_CASE("32 clips are taken and 33 are refused", "[limits]") {
    RuleCase one = hop();
    while (one.evidence.clips.size() < 32)
        one.evidence.clips.push_back(one.evidence.clips.front());
    CHECK(ruled(one).ok());
    one.evidence.marks.back().possible = true;  // then every clip is asked whether it saw it
    CHECK(ruled(one).ok());
    one.evidence.clips.push_back(one.evidence.clips.front());
    expect_refused(one, "at most 32 clips", Category::unsupported);
}

TEST_CASE("32 stations are taken and 33 are refused", "[limits]") {
    RuleCase one = hop();
    one.book.stations[0].exit = course::Exit::free;
    const auto add = [&] {
        course::Station next = one.book.stations[0];
        next.key = next.name = "hop_" + std::to_string(one.book.stations.size());
        one.book.stations.push_back(next);
    };
    while (one.book.stations.size() < 32)
        add();
    CHECK(ruled(one).ok());
    add();
    expect_refused(one, "This course has 33 stations", Category::unsupported);
}

TEST_CASE("a station of 64 items is taken and one of 65 is refused", "[limits]") {
    RuleCase one = hop();
    const auto add = [&] {
        course::Item item;
        item.surface = course::SurfaceId{static_cast<std::int64_t>(one.book.surfaces.size())};
        item.parts = course::kHands;
        one.book.surfaces.push_back(surface("item_" + std::to_string(one.book.surfaces.size())));
        one.book.stations[0].in_play.push_back(item);
    };
    while (one.book.stations[0].in_play.size() < 64)
        add();
    CHECK(ruled(one).ok());
    add();
    expect_refused(one, "at most 64 items", Category::unsupported);
}

TEST_CASE("36 planes are taken and 37 are refused", "[limits]") {
    RuleCase one = hop();
    const auto add = [&] {
        course::Plane plane = one.book.planes[0];
        plane.key = plane.name = "plane_" + std::to_string(one.book.planes.size());
        one.book.planes.push_back(plane);
    };
    while (one.book.planes.size() < 36)
        add();
    CHECK(ruled(one).ok());
    add();
    expect_refused(one, "37 planes", Category::unsupported);
}

TEST_CASE("a course is refused by its number of surfaces just where its refusal says", "[limits]") {
    std::size_t most = 0;
    for (std::size_t count = 60; count < 120; ++count) {
        const auto ruling = ruled(with_landings(count));
        if (ruling.ok()) {
            CHECK(most + 1 >= (most == 0 ? 1 : count - 1));
            most = count;
            continue;
        }
        CHECK(ruling.error().category == Category::unsupported);
        // The deck is used, too.
        CHECK_THAT(ruling.error().sentence,
                   Catch::Contains(std::to_string(count + 1) + " surfaces that matter") &&
                       Catch::Contains("at most 32, " + std::to_string(most + 1) + " and 36"));
    }
    CHECK(most >= 80);
}
