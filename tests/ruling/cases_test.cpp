// The hand-written rule cases: each verdict was written down under docs/rulings.md before the engine ruled.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>

#include "course/check.h"
#include "ruling/case_file.h"

using namespace plumbmark;
using namespace plumbmark::test;

namespace {

std::string text_of(const std::filesystem::path& path) {
    std::ifstream stream(path, std::ios::binary);
    REQUIRE(stream);
    return {std::istreambuf_iterator<char>(stream), {}};
}

std::vector<RuleCase> cases_of(const std::string& name) {
    return read_cases(text_of(std::filesystem::path(PLUMBMARK_SOURCE_DIR) / "tests/ruling/cases" / name),
                      name);
}

std::string words(ruling::Verdict verdict, bool if_reached, const std::vector<ruling::Clause>& clauses) {
    std::string text = ruling::verdict_words(verdict);
    if (if_reached) text += " if reached";
    for (const ruling::Clause clause : std::set<ruling::Clause>(clauses.begin(), clauses.end()))
        text += std::string(" ") + ruling::clause_key(clause);
    return text;
}

std::string results_of(const ruling::RunRuling& ruled) {
    std::string text;
    for (const ruling::RunResult& result : ruled.results)
        text +=
            (text.empty() ? "" : " ") + std::to_string(result.cleared) + (result.full_clear ? "-full" : "");
    return text;
}

std::string points_of(const ruling::RunRuling& ruled) {
    std::set<std::int32_t> points;
    for (const ruling::RunResult& result : ruled.results)
        points.insert(result.points);
    std::string text;
    for (const std::int32_t n : points)
        text += (text.empty() ? "" : " ") + std::to_string(n);
    return text;
}

std::string given(const ruling::StationRuling& station) {
    const bool fails = station.verdict == ruling::Verdict::fail;
    return words(station.verdict, station.if_reached,
                 fails ? station.failing_clauses : std::vector<ruling::Clause>{});
}
std::string wanted(const ExpectedStation& expected) {
    return words(expected.verdict, expected.if_reached, expected.clauses);
}
const ruling::StationRuling& station_of(const RuleCase& rule_case, const ruling::RunRuling& ruled,
                                        const ExpectedStation& expected) {
    return ruled.stations.at(static_cast<std::size_t>(rule_case.book.find_station(expected.station).value));
}

void check_split(const ruling::RunRuling& ruled, const ExpectedSplit& expected) {
    CHECK(ruled.split.has_value() != expected.none);
    if (expected.none || !ruled.split) return;
    CHECK(ruled.split->after == expected.after);
    CHECK(ruled.split->until == expected.until);
    CHECK(ruled.split_low == base::Duration{expected.low});
    CHECK(ruled.split_high == base::Duration{expected.high});
}

void check_ruled(const RuleCase& rule_case) {
    const base::Result<ruling::RunRuling> ruled = rule(rule_case);
    if (!ruled.ok()) FAIL_CHECK(ruled.error().text());
    if (!ruled.ok()) return;
    for (const ExpectedStation& expected : rule_case.expected) {
        INFO(expected.station);
        CHECK(given(station_of(rule_case, ruled.value(), expected)) == wanted(expected));
    }
    if (!rule_case.results.empty()) CHECK(results_of(ruled.value()) == rule_case.results);
    if (!rule_case.points.empty()) CHECK(points_of(ruled.value()) == rule_case.points);
    if (rule_case.split) check_split(ruled.value(), *rule_case.split);
}

bool ruled_as_written(const RuleCase& rule_case) {
    const base::Result<ruling::RunRuling> ruled = rule(rule_case);
    REQUIRE(ruled.ok());
    REQUIRE_FALSE(rule_case.expected.empty());
    return std::all_of(rule_case.expected.begin(), rule_case.expected.end(),
                       [&](const ExpectedStation& expected) {
                           return given(station_of(rule_case, ruled.value(), expected)) == wanted(expected);
                       });
}

// The refusal is a contradiction; without any one of the lines it names the review must be consistent, and
// with those lines alone it must still be refused: so nothing is named that is not needed, and nothing is
// left out.
ruling::Evidence only(const ruling::Evidence& from, const std::set<std::int64_t>& lines) {
    ruling::Evidence kept;
    kept.clips = from.clips;
    const auto keep = [&](const auto& all, auto& into) {
        std::copy_if(all.begin(), all.end(), std::back_inserter(into),
                     [&](const auto& one) { return lines.contains(one.id.value); });
    };
    keep(from.marks, kept.marks);
    keep(from.contacts, kept.contacts);
    keep(from.spans, kept.spans);
    return kept;
}

bool refused(const RuleCase& rule_case, const std::set<std::int64_t>& lines) {
    const auto ruled = ruling::rule_run(rule_case.book, only(rule_case.evidence, lines), rule_case.settings);
    return !ruled.ok() && ruled.error().category == base::Category::contradiction;
}

void check_refused(const RuleCase& rule_case) {
    const auto ruled = ruling::rule_run(rule_case.book, rule_case.evidence, rule_case.settings);
    REQUIRE_FALSE(ruled.ok());
    CHECK(ruled.error().category == base::Category::contradiction);
    INFO(ruled.error().text());
    const std::set<std::int64_t> named(rule_case.contradiction.begin(), rule_case.contradiction.end());
    CHECK(refused(rule_case, named));
    for (const std::int64_t line : named) {
        std::set<std::int64_t> fewer = named;
        fewer.erase(line);
        CHECK_FALSE(refused(rule_case, fewer));
    }
}

void check_file(const std::string& name, std::size_t at_least) {
    const std::vector<RuleCase> cases = cases_of(name);
    CHECK(cases.size() >= at_least);
    for (const RuleCase& rule_case : cases) {
        INFO(name << ": " << rule_case.title << " (" << rule_case.why << ")");
        CHECK((rule_case.refused || !rule_case.expected.empty()));
        if (rule_case.refused) {
            check_refused(rule_case);
        } else {
            check_ruled(rule_case);
        }
    }
}

}  // namespace

TEST_CASE("two stations that share a deck are ruled as written down beforehand") {
    check_file("shared-landing.case", 34);
}

TEST_CASE("holds and control are ruled as written down beforehand") {
    check_file("holds-and-control.case", 16);
}

TEST_CASE("planes are ruled as written down beforehand") {
    check_file("planes.case", 14);
}

TEST_CASE("free exits, attempts and what a course may say otherwise are ruled as written down beforehand") {
    check_file("free-exit-and-attempts.case", 22);
}

TEST_CASE("orders, caps, finish, faces and two cameras are ruled as written down beforehand") {
    check_file("order-caps-finish.case", 28);
}

TEST_CASE("what happens between attempts and between stations is ruled as written down beforehand") {
    check_file("between-attempts.case", 3);
}

TEST_CASE("points and part credit are counted as written down beforehand") {
    check_file("checkpoints.case", 4);
}

TEST_CASE("starts are ruled as written down beforehand") {
    check_file("starts.case", 23);
}

TEST_CASE("contacts and their grades are ruled as written down beforehand") {
    check_file("contacts.case", 26);
}

TEST_CASE("landings of every kind are ruled as written down beforehand") {
    check_file("landings.case", 33);
}

TEST_CASE("items, rows and retries are ruled as written down beforehand") {
    check_file("items-and-retries.case", 24);
}

TEST_CASE("the finish and the caps are ruled as written down beforehand") {
    check_file("finish-and-caps.case", 21);
}

TEST_CASE("formats and splits are ruled as written down beforehand") {
    check_file("scoring.case", 23);
}

TEST_CASE("evidence that fails, and what it shows all the same, is ruled as written down beforehand") {
    check_file("evidence.case", 44);
}

TEST_CASE("a case that is still open is ruled otherwise, else it is open no more") {
    for (const RuleCase& rule_case : cases_of("open.case")) {
        INFO(rule_case.title << ": once the engine rules this as written, move it to the file of its kind");
        CHECK_FALSE(ruled_as_written(rule_case));
    }
}

TEST_CASE("every course of the rule cases can be run") {
    for (const auto& entry :
         std::filesystem::directory_iterator(std::string(PLUMBMARK_SOURCE_DIR) + "/tests/ruling/cases")) {
        if (entry.path().extension() != ".case") continue;
        for (const RuleCase& rule_case : cases_of(entry.path().filename().string())) {
            for (const course::Finding& finding : course::check_book(rule_case.book)) {
                INFO(rule_case.title);
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
