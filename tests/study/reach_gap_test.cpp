// Gaps and reaches of a station by its plan, and what published tables say of people who are to come so far.
#include "study/reach_gap.h"

#include <catch2/catch.hpp>

#include "course/read.h"

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

/// A deck, two posts a foot takes and a bar for the hands, and a landing; measures in whole decimetres.
course::CourseBook course_book() {
    const course::ReadBook read = course::read_book(R"(
course = "Gaps"
revision = "1"
[surfaces]
deck = "deck"
post = "post"
bar = "bar"
rope = "rope"
quay = "quay"
[[station]]
key = "gaps"
name = "gaps"
start = "deck"
exit = "free"
in_play = [
    { surface = "post", parts = "feet" },
    { surface = ["bar", "rope"], parts = "hands" },
]
[station.landing]
surface = "quay"
[plan]
tolerance = 0.01
[plan.surfaces]
deck = { outline = [[0, 0], [1, 0], [1, 1], [0, 1]], top = 0.6 }
post = { outline = [[2.5, 0.2], [2.8, 0.2], [2.8, 0.5], [2.5, 0.5]], top = 0.6 }
bar = { line = [[3.2, 0, 2.5], [3.2, 1, 2.5]] }
rope = { line = [[4.2, 0.5, 4.0], [4.2, 0.5, 2.0]] }
quay = { outline = [[5, 2], [6, 2], [6, 3], [5, 3]], top = 0.6 }
)");
    for (const auto& problem : read.problems)
        UNSCOPED_INFO(problem.text("book"));
    REQUIRE(read.book.has_value());
    return *read.book;
}

std::vector<CourseStep> steps(const std::vector<PeopleOfAge>& people) {
    return course_steps(course_book(), {0}, people);
}

}  // namespace

TEST_CASE("gaps are from edge to edge and holds are as high as they hang over what is stood on") {
    const std::vector<CourseStep> all = steps({});
    REQUIRE(all.size() == 4);
    CHECK(all[0].kind == StepKind::gap);
    CHECK(all[0].gap->low == Approx(1.48));
    CHECK(all[0].gap->high == Approx(1.52));
    CHECK(all[1].kind == StepKind::reach);
    CHECK(all[1].gap->low == Approx(0.38));
    CHECK(all[1].height->low == Approx(1.88));
    CHECK(all[1].height->high == Approx(1.92));
    CHECK(all[2].kind == StepKind::swing);
    CHECK(all[2].gap->low == Approx(0.98));
    CHECK(all[3].kind == StepKind::swing);
    // From (4.2, 0.5) to the corner (5, 2): the root of 0.64 + 2.25.
    CHECK(all[3].gap->low + all[3].gap->width() / 2 == Approx(1.7));
    CHECK(all[0].tolerance_known);
}

TEST_CASE("a gap on one height is held against the published median jump") {
    // Boys of 11 jump 1.47 m in the median, those of 12 1.62 m.
    const std::vector<CourseStep> all =
        steps({{Sex::male, 11}, {Sex::male, 12}, {Sex::male, 7}, {Sex::female, 30}});
    REQUIRE(all[0].figures.size() == 4);
    CHECK(all[0].figures[0].reached == Reached::fewer);
    CHECK(all[0].figures[1].reached == Reached::rest_or_more);
    CHECK_FALSE(all[0].figures[1].share.has_value());
    CHECK(all[0].figures[2].no_table());
    CHECK(all[0].figures[3].no_table());
    CHECK(all[0].figures[1].sentence.english().find("no spread published") != std::string::npos);
    CHECK(all[0].figures[1].sentence.english().find("toes to heels") != std::string::npos);
}

TEST_CASE("a reach is told for adults and flagged for children with what their stature tells") {
    const std::vector<CourseStep> all = steps({{Sex::male, 30}, {Sex::female, 12}, {Sex::female, 3}});
    const auto& figures = all[1].figures;
    REQUIRE(figures.size() == 5);
    // ANSUR II: men reach 2.2646 m, standard deviation 0.1044: 1.92 m is 3.3 of them lower.
    CHECK(figures[0].of == PeopleFigure::Of::overhead_reach);
    CHECK(figures[0].share->low > 0.999);
    CHECK(figures[1].no_table());
    CHECK(figures[2].of == PeopleFigure::Of::stature);
    CHECK_FALSE(figures[2].no_table());
    CHECK(figures[2].share->high < 0.001);
    CHECK(figures[3].no_table());
    CHECK(figures[4].no_table());
    CHECK(all[2].figures.empty());
}

TEST_CASE("where the plan does not say where things stand nothing is measured") {
    course::CourseBook book = course_book();
    book.plan = {};
    for (const CourseStep& step : course_steps(book, {0}, {{Sex::male, 14}})) {
        CHECK_FALSE(step.gap.has_value());
        CHECK(step.figures.empty());
    }
}
