// [plan]: where the things stand, and what is told when it cannot be so.
#include <catch2/catch.hpp>

#include "course/read.h"
#include "course/test_text.h"

using namespace plumbmark::course;

namespace {

const std::string kBook =
    "course = \"harbour hall\"\nrevision = \"1\"\n[surfaces]\npier = \"pier\"\nquay = \"quay\"\n[planes]\n"
    "front = \"front plane\"\n[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
    "[station.landing]\nsurface = \"quay\"\n[plan]\n";

/// The one problem of the book with this behind '[plan]'.
BookProblem problem_of(const std::string& plan) {
    const ReadBook read = read_book(kBook + plan);
    INFO(plan);
    REQUIRE(read.problems.size() == 1);
    return read.problems.front();
}

}  // namespace

TEST_CASE("the sample course's plan is where its things stand") {
    const ReadBook read = read_book(file_text("sample_clips/pier-nine.course"));
    REQUIRE(read.book);
    const Plan& plan = read.book->plan;
    CHECK(plan.tolerance == 0.01);
    const SurfacePlan* deck = plan.find(read.book->find_surface("gantry_deck"));
    REQUIRE(deck != nullptr);
    CHECK(deck->outline == std::vector<PlanPoint>{{6.25, -0.62}, {7.3, -0.62}, {7.3, 0.62}, {6.25, 0.62}});
    CHECK(deck->top == 0.7);
    CHECK(deck->line.empty());
    const SurfacePlan* rung = plan.find(read.book->find_surface("rung_2"));
    REQUIRE(rung != nullptr);
    CHECK(rung->line == std::vector<SpacePoint>{{8.05, -0.5, 2.5}, {8.05, 0.5, 2.5}});
    const PlanePlan* plane = plan.find(read.book->find_plane("gantry_front_plane"));
    REQUIRE(plane != nullptr);
    CHECK(plane->from == PlanPoint{6.25, -0.62});
    CHECK(plane->past == PlanPoint{6.5, 0});
    CHECK(plan.find(read.book->find_surface("floor")) == nullptr);
}

TEST_CASE("a plan tells what cannot be, with its place and what would be right") {
    CHECK(
        read_book(kBook + "[plan.surfaces]\npier = { outline = [[0, 0], [1, 0], [1, 1]], top = 1 }\n").book);
    CHECK(problem_of("tolerance = -0.1\n").expected == "a number of metres from 0 to 10");
    const BookProblem unknown = problem_of("surfaces = { peer = { line = [[0, 0, 1], [1, 0, 1]] } }\n");
    CHECK(unknown.found == "'peer' is not a declared surface");
    CHECK(unknown.suggestion == "pier");
    CHECK(unknown.place.line == 15);
    CHECK(problem_of("planes = { pier = { line = [[0, 0], [1, 0]], past = [0, 1] } }\n").found ==
          "'pier' is not a declared plane");
    const auto pier = [](const std::string& table) {
        return problem_of("surfaces = { pier = { " + table + " } }\n").found;
    };
    CHECK(pier("top = 1") == "the plan of 'pier' has neither an 'outline' nor a 'line'");
    CHECK(pier("outline = [[0, 0], [1, 0], [1, 1]], line = [[0, 0, 0], [1, 0, 0]]") ==
          "the plan of 'pier' has an 'outline' and a 'line'");
    CHECK(pier("outline = [[0, 0], [1, 0], [1, 1]]") == "the plan of 'pier' has no 'top'");
    CHECK(pier("outline = [[0, 0], [1, 0]], top = 1") == "'outline' is a list");
    CHECK(pier("outline = [[0, 0], [1, 0], [2, 0]], top = 1") == "the plan of 'pier' encloses nothing");
    CHECK(pier("outline = [[0, 0], [2, 2], [2, 0], [0, 1]], top = 1") ==
          "the sides of the plan of 'pier' cross");
    CHECK(pier("outline = [[0, 0], [1200, 0], [1200, 800]], top = 1") == "a point of 'outline' is a list");
    CHECK(pier("outline = [[0, 0], [1, true], [1, 1]], top = 1") == "a point of 'outline' is a list");
    CHECK(pier("outline = [[0, 0], [1, nan], [1, 1]], top = 1") == "a point of 'outline' is a list");
    CHECK(pier("outline = [[0, 0], [1, 0], [1, 1]], top = \"1\"") == "'top' is the text '1'");
    CHECK(pier("line = [[0, 0, 1], [0, 0, 1]]") == "the plan of 'pier' is a point");
    CHECK(pier("line = [[0, 0, 1], [1, 0, 1]], top = 1") == "'top' stands beside a 'line'");
    CHECK(pier("line = [[0, 0], [1, 0]]") == "a point of 'line' is a list");
    const auto front = [](const std::string& table) {
        return problem_of("planes = { front = { " + table + " } }\n").found;
    };
    CHECK(front("line = [[0, 0], [0, 1]]") == "the plan of 'front' has no 'past'");
    CHECK(front("line = [[0, 0], [0, 1]], past = [0, 3]") == "'past' lies on the plane itself");
    CHECK(front("line = [[0, 0], [0, 0]], past = [1, 3]") ==
          "the plan of 'front' has both ends in one place");
    CHECK(front("line = [[0, 0], [0, 1]], past = 3") == "'past' is the number 3");
    CHECK(problem_of("surfaces = { pier = 3 }\n").found == "'pier' is the number 3");
}
