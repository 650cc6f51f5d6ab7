// The hand-written rule cases: each verdict was written down under docs/rulings.md before the engine ruled.
#include <catch2/catch.hpp>

#include "course/check.h"
#include "ruling/case_check.h"
#include "ruling/case_file.h"

using namespace plumbmark;
using namespace plumbmark::test;

namespace {

void check_file(const std::string& name, std::size_t at_least) {
    const std::vector<RuleCase> cases = cases_of(name);
    CHECK(cases.size() >= at_least);
    for (const RuleCase& rule_case : cases) {
        INFO(name << ": " << rule_case.title << " (" << rule_case.why << ")");
        CHECK(difference(rule_case) == "");
    }
}

}  // namespace

TEST_CASE("two stations that share a deck are ruled as written down beforehand") {
    check_file("shared-landing", 34);
}

TEST_CASE("holds and control are ruled as written down beforehand") {
    check_file("holds-and-control", 16);
}

TEST_CASE("planes are ruled as written down beforehand") {
    check_file("planes", 17);
}

TEST_CASE("free exits, attempts and what a course may say otherwise are ruled as written down beforehand") {
    check_file("free-exit-and-attempts", 22);
}

TEST_CASE("orders, caps, finish, faces and two cameras are ruled as written down beforehand") {
    check_file("order-caps-finish", 28);
}

TEST_CASE("what happens between attempts and between stations is ruled as written down beforehand") {
    check_file("between-attempts", 3);
}

TEST_CASE("points and part credit are counted as written down beforehand") {
    check_file("checkpoints", 5);
}

TEST_CASE("starts are ruled as written down beforehand") {
    check_file("starts", 25);
}

TEST_CASE("contacts and their grades are ruled as written down beforehand") {
    check_file("contacts", 27);
}

TEST_CASE("landings of every kind are ruled as written down beforehand") {
    check_file("landings", 33);
}

TEST_CASE("items, rows and retries are ruled as written down beforehand") {
    check_file("items-and-retries", 25);
}

TEST_CASE("the finish and the caps are ruled as written down beforehand") {
    check_file("finish-and-caps", 23);
}

TEST_CASE("formats and splits are ruled as written down beforehand") {
    check_file("scoring", 23);
}

TEST_CASE("evidence that fails, and what it shows all the same, is ruled as written down beforehand") {
    check_file("evidence", 67);
}

TEST_CASE("small differences between rules are ruled as written down beforehand") {
    check_file("near-misses", 23);
}

TEST_CASE("a case that is still open is ruled otherwise, else it is open no more") {
    for (const RuleCase& rule_case : cases_of("open")) {
        INFO(rule_case.title << ": once the engine rules this as written, move it to the file of its kind");
        CHECK(difference(rule_case) != "");
    }
}

TEST_CASE("every course of the rule cases can be run") {
    for (const CaseFile& file : case_files()) {
        for (const RuleCase& rule_case : file.cases) {
            for (const course::Finding& finding : course::check_book(rule_case.book)) {
                INFO(rule_case.title);
                // The one case at the very instant of a cap that is too late has such a course, and must.
                if (finding.code == "hold-not-below-cap" &&
                    rule_case.book.name.find("too late") != std::string::npos)
                    continue;
                if (finding.severity == course::Severity::error) FAIL_CHECK(finding.text(""));
            }
        }
    }
}

TEST_CASE("a slip in a case file is told with its line") {
    const std::string course =
        "--- course\ncourse = \"a\"\nrevision = \"1\"\n[surfaces]\ndeck = \"deck\"\nquay = \"quay\"\n"
        "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"deck\"\nlanding = { surface = \"quay\" }\n"
        "--- case: one\n";
    CHECK_THROWS_WITH(read_cases(course + "touch left foot dekc @ 1..2\n", "x"),
                      Catch::Contains("x:13: 'dekc' is not a declared surface"));
    CHECK_THROWS_WITH(read_cases(course + "expect hop FAIL\n", "x"), Catch::Contains("by which clause?"));
    CHECK_THROWS_WITH(read_cases(course + "touch left foot deck @ 1..400\n", "x"),
                      Catch::Contains("no frame 400"));
}
