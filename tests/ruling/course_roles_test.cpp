// The tables of a course and of a review, on small books, and where they end: one more pair, side or class
// would speak of the next plane, or of nothing.
#include "ruling/internal/course_roles.h"

#include <catch2/catch.hpp>

#include "ruling/internal/prepared.h"
#include "ruling/prepared_case.h"

using namespace plumbmark;
using namespace plumbmark::ruling;
using course::Part;
using test::PreparedCase;

namespace {

course::CourseBook book(const std::string& text) {
    return test::read_cases("--- course\ncourse = \"a\"\nrevision = \"1\"\n" + text +
                                "--- case: one\nsignal start @ 0..1\n",
                            "text")
        .front()
        .book;
}

constexpr const char* kHop = R"([surfaces]
deck = "deck"
quay = "quay deck"
[[station]]
key = "hop"
name = "hop"
start = "deck"
landing = { surface = "quay" }
)";

constexpr const char* kPlanes = R"([surfaces]
deck = "deck"
quay = "quay deck"
crate = "crate"
mat = "mat"
[planes]
low = "low plane"
high = "high plane"
[[station]]
key = "hop"
name = "hop"
start = "deck"
landing = { surface = "quay", plane = "low" }
)";

PreparedCase planes(const std::string& lines) {
    return PreparedCase(std::string("--- course\ncourse = \"a\"\nrevision = \"1\"\n") + kPlanes +
                        "--- case: one\n" + lines);
}

}  // namespace

TEST_CASE("the surfaces that nothing uses are one class, which the first of them stands for", "[parts]") {
    const CourseRoles all_used(book(kHop));
    CHECK_FALSE(all_used.surface_of(CourseRoles::kRest).valid());
    CHECK(all_used.class_count() == CourseRoles::kFirstUsed + 2U);
    const CourseRoles some_left(book(kPlanes));
    CHECK(some_left.surface_of(CourseRoles::kRest).value == 2);
    CHECK(some_left.class_of(std::size_t{2}) == CourseRoles::kRest);
    CHECK(some_left.class_of(std::size_t{3}) == CourseRoles::kRest);
}

TEST_CASE("there is a finish signal where it is named, required or struck on a surface", "[parts]") {
    course::CourseBook of = book(kHop);
    CHECK_FALSE(CourseRoles(of).has_finish());
    of.finish.name = "bell plate";
    CHECK(CourseRoles(of).has_finish());
    of.finish = {};
    of.finish.required = true;
    CHECK(CourseRoles(of).has_finish());
    of.finish = {};
    of.finish.surface = course::SurfaceId{1};
    CHECK(CourseRoles(of).has_finish());
}

TEST_CASE("a return to the start ends an attempt only where the start is neither item nor landing",
          "[parts]") {
    course::CourseBook of = book(kHop);
    CHECK(CourseRoles(of).stations()[0].return_ends_attempt);
    of.stations[0].landing.surfaces.push_back(course::SurfaceId{0});
    CHECK_FALSE(CourseRoles(of).stations()[0].return_ends_attempt);
    of = book(kHop);
    course::Item item;
    item.surface = course::SurfaceId{0};
    item.parts = course::kWholeBody;
    of.stations[0].in_play.push_back(item);
    CHECK_FALSE(CourseRoles(of).stations()[0].return_ends_attempt);
}

TEST_CASE("an item after one that is not in play waits for nothing", "[parts]") {
    course::CourseBook of = book(kPlanes);
    course::Item crate;
    crate.surface = course::SurfaceId{2};
    crate.parts = course::kWholeBody;
    crate.after = course::SurfaceId{3};
    of.stations[0].in_play = {crate};
    CHECK(CourseRoles(of).stations()[0].items[0].after == -1);
    course::Item mat = crate;
    mat.surface = course::SurfaceId{3};
    mat.after.reset();
    of.stations[0].in_play = {crate, mat};
    CHECK(CourseRoles(of).stations()[0].items[0].after == 1);
}

TEST_CASE("a plane has seven sides, and what is asked, watched or named of it is none of the next plane's",
          "[parts]") {
    const PreparedCase one = planes("cross whole athlete low forward @ 8..9\n");
    CHECK(one.roles.station(0).sides.count() == kCrossersCount);
    CHECK(one.roles.all_sides().count() == 2 * kCrossersCount);
    Scope scope;
    scope.planes = {course::PlaneId{0}};
    CHECK(one.roles.sides_in(scope).count() == kCrossersCount);
    CHECK(one.prepared.named_sides.count() == kCrossersCount);
    CHECK(one.prepared.marks[0].sides.count() == kCrossersCount);
    const PreparedCase foot = planes("cross left foot low forward @ 8..9\n");
    CHECK(foot.prepared.named_sides.count() == 2);
    CHECK(foot.prepared.marks[0].sides.count() == kCrossersCount);
}

TEST_CASE("a surface that a mark names though no station uses it has a class of its own", "[parts]") {
    const PreparedCase one = planes("touch left foot mat @ 8..9\nrelease left foot mat @ 10..11\n");
    const SurfaceClass mat = one.roles.class_of(course::SurfaceId{3});
    CHECK(mat == one.roles.used_class_count());
    CHECK(one.roles.class_count() == one.roles.used_class_count() + 1);
    CHECK(one.roles.surface_of(mat).value == 3);
    CHECK(one.roles.all_pairs().count() == one.roles.class_count() * kPartsCount);
    CHECK(one.roles.class_of(course::SurfaceId{2}) == CourseRoles::kRest);
    CHECK(one.roles.surface_of(CourseRoles::kRest).value == 2);
    CHECK(one.roles.class_of(course::SurfaceId{}) == CourseRoles::kUndeclared);
    // No definition asks about it: none of its parts stands for another.
    for (const Part part : course::kAllParts) {
        for (const Part other : course::kAllParts)
            CHECK((one.roles.kind_of(one.roles.pair(part, mat)) ==
                   one.roles.kind_of(one.roles.pair(other, mat))) == (part == other));
    }
    const PreparedCase none = planes("signal start @ 0..1\n");
    CHECK(none.roles.surface_of(CourseRoles::kRest).value == 2);
    const PreparedCase all = planes("touch left foot mat @ 8..9\ntouch left foot crate @ 9..10\n");
    CHECK(all.roles.is_empty(CourseRoles::kRest));
    CHECK_FALSE(none.roles.is_empty(CourseRoles::kRest));
    CHECK_FALSE(none.roles.is_empty(CourseRoles::kUndeclared));
}

TEST_CASE("parts are of one kind where no definition tells them apart", "[parts]") {
    const PreparedCase one = planes("signal start @ 0..1\n");
    const auto alike = [&](Part a, Part b, const char* surface) {
        return one.roles.kind_of(one.pair(a, surface)) == one.roles.kind_of(one.pair(b, surface));
    };
    CHECK(alike(Part::left_foot, Part::right_hand, "deck"));
    CHECK_FALSE(alike(Part::left_foot, Part::loose, "deck"));
    CHECK(alike(Part::left_foot, Part::right_foot, "quay"));
    CHECK_FALSE(alike(Part::left_foot, Part::right_hand, "quay"));
    CHECK(one.roles.kind_of(one.pair(Part::left_foot, "deck")) !=
          one.roles.kind_of(one.pair(Part::left_foot, "quay")));
}
