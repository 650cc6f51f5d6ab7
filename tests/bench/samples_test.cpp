// Quantiles by nearest rank against values worked out by hand; the choice among the usual definitions is
// common practice, no source.
#include "samples.h"

#include <catch2/catch.hpp>

using namespace plumbmark::bench;

TEST_CASE(
    "the median of an odd number of values is the middle one, of an even number the mean of the middle two") {
    CHECK(median({5, 1, 3}) == 3);
    CHECK(median({4, 1, 3, 10}) == 3.5);
    CHECK(median({2, 1}) == 1.5);
    CHECK(median({7}) == 7);
}

TEST_CASE("the 95th percentile of a hundred values is the ninety-fifth, and the order does not matter") {
    std::vector<double> values;
    for (int i = 100; i >= 1; --i)
        values.push_back(i);
    CHECK(quantile(values, 0.95) == 95);
    CHECK(worst_twentieth(values, Better::less) == 95);
}

TEST_CASE("where more is better the bad end is the low one") {
    std::vector<double> values;
    for (int i = 1; i <= 100; ++i)
        values.push_back(i);
    CHECK(worst_twentieth(values, Better::more) == 6);
}

TEST_CASE("few values have their worst one as the 95th percentile") {
    CHECK(worst_twentieth({1, 9, 2}, Better::less) == 9);
    CHECK(worst_twentieth({1, 9, 2}, Better::more) == 1);
}

TEST_CASE("no values have no quantile, and that is 0") {
    CHECK(quantile({}, 0.5) == 0);
    CHECK(median({}) == 0);
}
