// Places: published examples, and the definition taken word by word over random results.
#include "meet/ranking.h"

#include <catch2/catch.hpp>
#include <random>

using namespace plumbmark;
using namespace plumbmark::meet;

namespace {

constexpr std::int64_t kHundredth = 10'000'000;

Score score(std::int32_t cleared, std::int64_t hundredths) {
    Score made;
    made.cleared = cleared;
    made.time = TimeRange{{hundredths * kHundredth}, {hundredths * kHundredth}};
    return made;
}

Score between(std::int32_t cleared, std::int64_t from, std::int64_t to) {
    Score made = score(cleared, from);
    made.time->to = {to * kHundredth};
    return made;
}

Score untimed(std::int32_t cleared) {
    Score made;
    made.cleared = cleared;
    return made;
}

std::vector<std::size_t> places(const std::vector<Score>& scores, Order order = Order::cleared_then_time) {
    std::vector<std::size_t> result;
    for (const Placing& placing : placings(scores, order))
        result.push_back(placing.place);
    return result;
}

using Places = std::vector<std::size_t>;

}  // namespace

TEST_CASE("equal scores share a place and the next places stay free") {
    // Rosetta Code, 'Ranking methods', standard ranking.
    std::vector<Score> scores;
    for (const std::int32_t points : {44, 42, 42, 41, 41, 41, 39}) {
        scores.push_back({});
        scores.back().points = points;
    }
    CHECK(places(scores, Order::points_then_time) == Places{1, 2, 2, 4, 4, 4, 7});
    const std::vector<Placing> all = placings(scores, Order::points_then_time);
    CHECK_FALSE(all[0].shared);
    CHECK(all[1].shared);
    CHECK(all[5].shared);
    CHECK_FALSE(all[6].shared);
}

TEST_CASE("furthest, then fastest; nobody's time comes last") {
    CHECK(places({score(5, 6'120), score(5, 6'120), score(6, 9'000), score(5, 6'010), score(4, 2'000),
                  untimed(4)}) == Places{3, 3, 1, 2, 5, 6});
}

TEST_CASE("what counts is cleared stations or points, as the meet says") {
    Score few = score(3, 5'000), many = score(4, 6'000);
    few.points = 20;
    many.points = 10;
    CHECK(places({few, many}, Order::cleared_then_time) == Places{2, 1});
    CHECK(places({few, many}, Order::points_then_time) == Places{1, 2});
}

TEST_CASE("a time from footage separates no further than its bracket") {
    // The bracket reaches over both exact times, and separates neither of them from itself.
    const std::vector<Placing> all =
        placings({score(5, 6'120), score(5, 6'125), between(5, 6'118, 6'130), score(5, 6'200)},
                 Order::cleared_then_time);
    CHECK(all[0] == Placing{1, true, true});
    CHECK(all[1] == Placing{2, false, true});
    CHECK(all[2] == Placing{1, true, true});
    CHECK(all[3] == Placing{4, false, false});
    // Of a chain the ends are apart although neither is from the middle one.
    CHECK(places({between(5, 1, 3), between(5, 2, 5), between(5, 4, 6)}) == Places{1, 1, 2});
    // Bounds belong to it: the same instant may be both.
    CHECK(places({between(5, 1, 3), between(5, 3, 5)}) == Places{1, 1});
    CHECK(places({between(5, 1, 3), between(5, 4, 5)}) == Places{1, 2});
}

TEST_CASE("a tie-break settles exact ties only") {
    Score first = score(5, 6'120), second = first, bracket = between(5, 6'119, 6'121);
    first.tie_break = {2};
    second.tie_break = {1};
    bracket.tie_break = {0};
    CHECK(places({first, second}) == Places{2, 1});
    CHECK(compared(bracket, second, Order::cleared_then_time) == Standing::not_separated);
    CHECK(places({bracket, first, second}) == Places{1, 2, 1});
    Score none = score(5, 6'120);
    CHECK(places({none, first, none}) == Places{2, 1, 2});
    Score longer = first;
    longer.tie_break = {2, 7};
    CHECK(compared(longer, first, Order::cleared_then_time) == Standing::ahead);
}

TEST_CASE("of one athlete's runs the first that no other is surely ahead of counts") {
    CHECK(best_of({score(4, 10), score(5, 90), score(5, 80)}, Order::cleared_then_time) == 2);
    CHECK(best_of({score(5, 80), between(5, 70, 90)}, Order::cleared_then_time) == 0);
    CHECK(best_of({untimed(5), untimed(5)}, Order::cleared_then_time) == 0);
}

TEST_CASE("a place is one more than the number of results surely ahead, over random results") {
    std::mt19937_64 random(41);
    const auto below = [&](int n) { return std::uniform_int_distribution<int>(0, n - 1)(random); };
    int opened = 0, shared = 0;
    for (int round = 0; round < 400; ++round) {
        std::vector<Score> scores;
        for (int i = below(14); i >= 0; --i) {
            const std::int64_t from = below(8);
            Score made =
                below(5) == 0 ? untimed(below(2)) : between(below(2), from, from + below(3) / 2 * below(4));
            made.points = below(3);
            if (below(3) == 0) made.tie_break = {below(2)};
            scores.push_back(made);
        }
        const Order order = below(2) == 0 ? Order::cleared_then_time : Order::points_then_time;
        const std::vector<Placing> all = placings(scores, order);
        REQUIRE(all.size() == scores.size());
        for (std::size_t i = 0; i < scores.size(); ++i) {
            Placing expected;
            for (std::size_t j = 0; j < scores.size(); ++j) {
                const Standing theirs = compared(scores[j], scores[i], order);
                const Standing ours = compared(scores[i], scores[j], order);
                expected.place += theirs == Standing::ahead ? 1 : 0;
                expected.shared |= i != j && all[i].place == all[j].place;
                expected.open |= i != j && theirs == Standing::not_separated;
                CHECK((theirs == Standing::ahead) == (ours == Standing::behind));
                CHECK((theirs == Standing::not_separated) == (ours == Standing::not_separated));
            }
            CHECK(all[i] == expected);
            opened += expected.open ? 1 : 0;
            shared += expected.shared ? 1 : 0;
        }
    }
    CHECK(opened > 200);
    CHECK(shared > 200);
}
