// The engine against the plain judge and its enumeration of worlds; see docs/rulings.md, section 7. Each test
// case takes seeds of its own, so that they can run side by side.
#include <catch2/catch.hpp>
#include <iostream>

#include "oracle/compare.h"
#include "oracle/random_case.h"

using namespace plumbmark::oracle;

namespace {

// Under the address sanitizer a case takes many times as long; memory errors show in a few cases as well.
#if defined(__SANITIZE_ADDRESS__)
constexpr bool kSanitized = true;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
constexpr bool kSanitized = true;
#else
constexpr bool kSanitized = false;
#endif
#else
constexpr bool kSanitized = false;
#endif

constexpr int kCases = kSanitized ? 4 : 40;

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

    CHECK(spread.skipped * 10 <= spread.cases);
    CHECK(spread.without_world * 10 <= spread.cases);
    int stations = 0;
    for (const auto& [verdict, n] : spread.verdicts)
        stations += n;
    // Agreement on cases that all come out the same way would show little.
    const auto has_share = [&](const char* verdict, int percent) {
        INFO(verdict << ": " << spread.verdicts[verdict] << " of " << stations << " stations");
        CHECK(spread.verdicts[verdict] * 100 >= percent * stations);
    };
    has_share("CLEAR", 8);
    has_share("FAIL", 10);
    has_share("NOT SHOWN", 10);
    has_share("NOT REACHED", 5);
}

}  // namespace

// A review in some hundreds takes many seconds. These ranges were taken because they have none of them;
// longer ranges are for the program ruling-oracle.
TEST_CASE(
    "engine and oracle agree on random small reviews of which each verdict has its share: first seeds") {
    check_seeds(52'000);
}

TEST_CASE(
    "engine and oracle agree on random small reviews of which each verdict has its share: second seeds") {
    check_seeds(53'000);
}

TEST_CASE(
    "engine and oracle agree on random small reviews of which each verdict has its share: third seeds") {
    check_seeds(55'000);
}

TEST_CASE(
    "engine and oracle agree on random small reviews of which each verdict has its share: fourth seeds") {
    check_seeds(56'000);
}

TEST_CASE(
    "engine and oracle agree on random small reviews of which each verdict has its share: fifth seeds") {
    check_seeds(57'000);
}
