// The engine against the plain judge and the enumeration of every world (tests/oracle).
#include <catch2/catch.hpp>
#include <iostream>

#include "oracle/case_text.h"
#include "oracle/compare.h"
#include "oracle/random_case.h"

using namespace plumbmark::oracle;

TEST_CASE("engine and oracle agree on random small reviews, and each verdict makes up at least 15 percent") {
    constexpr std::uint64_t kSeed = 20'000;
    constexpr std::uint64_t kCases = 2'500;
    Spread spread;
    for (std::uint64_t seed = kSeed; seed < kSeed + kCases; ++seed) {
        const Case review = random_case(seed);
        const Comparison comparison = compare(review);
        spread.count(review, comparison);
        if (comparison.agree) continue;
        FAIL_CHECK("seed " << seed << "\n"
                           << describe(review) << comparison.difference
                           << describe(review, comparison.answer));
        if (spread.disagreements > 3) break;
    }
    std::cout << "seeds from " << kSeed << ": " << spread.text();
    int stations = 0;
    for (const auto& [verdict, n] : spread.verdicts)
        stations += n;
    for (const char* verdict : {"CLEAR", "FAIL", "NOT SHOWN", "NOT REACHED"})
        CHECK(spread.verdicts[verdict] * 100 >= 15 * stations);
    CHECK(spread.skipped * 20 <= static_cast<int>(kCases));
    CHECK(spread.without_world * 10 <= static_cast<int>(kCases));
}
