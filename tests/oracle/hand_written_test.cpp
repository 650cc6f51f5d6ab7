// The oracle itself against the rule cases written by hand (tests/ruling/cases), each of which has its
// verdict from a person, not from a program. Appeals are left to the engine, and so are cases with lengths of
// time: the oracle counts in whole units, and the frames of 30 a second do not fall on any.
#include <algorithm>
#include <catch2/catch.hpp>
#include <iostream>

#include "oracle/case_text.h"
#include "oracle/worlds.h"
#include "ruling/case_file.h"

using namespace plumbmark;
using namespace plumbmark::oracle;

namespace {

bool fits(const Case& review) {
    return review.book.surfaces.size() < kMostSurfaces && review.book.planes.size() <= kMostPlanes &&
           review.book.stations.size() <= kMostStations && review.evidence.clips.size() <= 2 &&
           !has_durations(review.book);
}

std::string words(ruling::Verdict verdict, bool if_reached, const std::set<ruling::Clause>& clauses) {
    std::string text = ruling::verdict_words(verdict);
    if (if_reached) text += " if reached";
    if (verdict != ruling::Verdict::fail) return text;
    for (const ruling::Clause clause : clauses)
        text += std::string(" ") + ruling::clause_key(clause);
    return text;
}

std::string results_of(const Answer& answer) {
    std::string text;
    for (const ruling::RunResult& result : answer.results)
        text +=
            (text.empty() ? "" : " ") + std::to_string(result.cleared) + (result.full_clear ? "-full" : "");
    return text;
}

std::string points_of(const Answer& answer) {
    std::set<std::int32_t> points;
    for (const ruling::RunResult& result : answer.results)
        points.insert(result.points);
    std::string text;
    for (const std::int32_t each : points)
        text += (text.empty() ? "" : " ") + std::to_string(each);
    return text;
}

void check(const test::RuleCase& expected, const Case& review, const Answer& answer) {
    INFO(describe(review) << describe(review, answer));
    CHECK(answer.consistent == !expected.refused);
    for (const test::ExpectedStation& station : expected.expected) {
        const StationAnswer& its =
            answer.stations.at(static_cast<std::size_t>(review.book.find_station(station.station).value));
        const std::set<ruling::Clause> clauses(station.clauses.begin(), station.clauses.end());
        CHECK(words(its.verdict, its.if_reached, its.failing) ==
              words(station.verdict, station.if_reached, clauses));
    }
    if (!expected.results.empty()) CHECK(results_of(answer) == expected.results);
    if (!expected.points.empty()) CHECK(points_of(answer) == expected.points);
}

}  // namespace

TEST_CASE("the oracle rules the cases written by hand as they were written down") {
    int looked_at = 0, all = 0;
    for (const test::CaseFile& file : test::case_files()) {
        for (const test::RuleCase& expected : file.cases) {
            ++all;
            const Case review{expected.book, expected.evidence, 1};
            if (expected.appeal || !fits(review)) continue;
            const Answer answer = enumerate(review, {.most_states = 30'000, .tell = true});
            if (answer.too_large) continue;
            ++looked_at;
            INFO(file.name << ": " << expected.title << " (" << expected.why << ")");
            check(expected, review, answer);
        }
    }
    std::cout << looked_at << " of " << all << " cases written by hand fit the oracle\n";
    CHECK(looked_at * 2 >= all);
}
