// The engine against the plain judge and its enumeration of worlds; see docs/rulings.md, section 7. Each test
// case takes seeds of its own, so that they can run side by side.
#include <array>
#include <catch2/catch.hpp>
#include <iostream>

#include "oracle/compare.h"
#include "oracle/random_case.h"
#include "support/sanitized.h"

using namespace plumbmark;
using namespace plumbmark::oracle;
using plumbmark::test::kSanitized;

namespace {

constexpr int kCases = kSanitized ? 40 : 2'500;

// All by which a station can fail.
constexpr std::array kDeciding{
    ruling::Clause::start,      ruling::Clause::out_of_play, ruling::Clause::part,    ruling::Clause::order,
    ruling::Clause::once,       ruling::Clause::hands_down,  ruling::Clause::attempt, ruling::Clause::cap,
    ruling::Clause::infraction, ruling::Clause::run_ended};

void has_share(const Spread& spread, const std::string& verdict, int percent) {
    const auto found = spread.verdicts.find(verdict);
    const int n = found == spread.verdicts.end() ? 0 : found->second;
    INFO(verdict << ": " << n << " of " << spread.stations() << " stations");
    CHECK(n * 100 >= percent * spread.stations());
}

void check_seeds(std::uint64_t first) {
    Spread spread;
    for (std::uint64_t seed = first; seed < first + kCases; ++seed) {
        const Case review = random_case(seed);
        const Comparison comparison = compare(review);
        spread.count(review, comparison);
        if (comparison.agree) continue;
        FAIL_CHECK("seed " << seed << "\n" << disagreement_text(review));
        if (spread.disagreements == 3) break;  // each is made small, which takes a while
    }
    std::cout << "seeds from " << first << ": " << spread.text();
    if (kSanitized) return;  // shares of so few cases say nothing

    // Agreement on cases that all come out the same way would show little.
    has_share(spread, "CLEAR", 14);
    has_share(spread, "FAIL", 15);
    has_share(spread, "NOT SHOWN", 15);
    has_share(spread, "NOT REACHED", 13);
    for (const ruling::Clause clause : kDeciding) {
        INFO(ruling::clause_key(clause));
        CHECK(spread.clauses.contains(ruling::clause_key(clause)));
    }
    CHECK(spread.skipped() * 10 <= spread.cases);
    CHECK(spread.without_world * 10 <= spread.cases);
}

}  // namespace

// Ranges of their own, so that they can run side by side; longer ones are for the program ruling-oracle.
TEST_CASE("engine and oracle agree on random small reviews, first seeds") {
    check_seeds(1'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, second seeds") {
    check_seeds(2'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, third seeds") {
    check_seeds(3'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, fourth seeds") {
    check_seeds(4'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, fifth seeds") {
    check_seeds(5'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, sixth seeds") {
    check_seeds(6'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, seventh seeds") {
    check_seeds(7'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, eighth seeds") {
    check_seeds(8'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, ninth seeds") {
    check_seeds(9'000'000);
}

TEST_CASE("engine and oracle agree on random small reviews, tenth seeds") {
    check_seeds(10'000'000);
}

TEST_CASE("engine and oracle agree on the reviews of long runs on which they once did not") {
    // A part's crossing that may be the last one; a part behind its plane that nobody watches; the start left
    // unseen; who else may stand where a part that is seen has left; who stood there when waiting began;
    // who held a landing when it was complete; a deck of a later station on which a station fails;
    // two parts that marks to come tell apart; a foot that is past a plane already; a contact that changed
    // between moments of two clips at one instant.
    for (const std::uint64_t seed :
         {40'065'102, 40'112'078, 50'000'990, 50'144'376, 50'159'717, 80'002'779, 90'187'791, 100'001'537,
          100'552'025, 100'578'695, 200'758'228, 300'054'297, 500'272'651}) {
        const Case review = random_case(seed);
        // They are larger than those that come out alike by the thousand.
        const Comparison comparison = compare(review, {.most_states = 100'000, .engine_states = 50'000});
        INFO("seed " << seed << "\n" << comparison.difference);
        CHECK(comparison.agree);
        CHECK(comparison.skipped == Skipped::no);
    }
}
