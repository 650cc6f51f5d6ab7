// Agreement of two raters: published tables, and laws.
#include "study/agreement.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

Kappa kappa_of(const RatingTable& counts, Weights weights = Weights::none) {
    const auto result = kappa(counts, weights, 0.95);
    REQUIRE(result.ok());
    return *result;
}

/// By the definition alone: disagreement seen over disagreement by chance, from the things themselves.
double plain_kappa(const RatingTable& counts, double power) {
    double seen = 0, chance = 0, n = 0;
    const std::size_t size = counts.size();
    std::vector<double> row(size), column(size);
    const auto apart = [&](std::size_t i, std::size_t j) {
        const double distance = std::abs(static_cast<double>(i) - static_cast<double>(j));
        return power == 0 ? (distance > 0 ? 1 : 0) : std::pow(distance, power);
    };
    for (std::size_t i = 0; i < size; ++i) {
        for (std::size_t j = 0; j < size; ++j) {
            const auto count = static_cast<double>(counts[i][j]);
            seen += count * apart(i, j);
            row[i] += count;
            column[j] += count;
            n += count;
        }
    }
    for (std::size_t i = 0; i < size; ++i) {
        for (std::size_t j = 0; j < size; ++j)
            chance += row[i] * column[j] / n * apart(i, j);
    }
    return 1 - seen / chance;
}

RatingTable transposed(const RatingTable& counts) {
    RatingTable other(counts.size(), std::vector<std::int64_t>(counts.size()));
    for (std::size_t i = 0; i < counts.size(); ++i) {
        for (std::size_t j = 0; j < counts.size(); ++j)
            other[j][i] = counts[i][j];
    }
    return other;
}

}  // namespace

TEST_CASE("kappa of two categories is the published one") {
    // The worked example of many texts: 35 of 50 things alike, 25 by chance.
    const Kappa first = kappa_of({{20, 5}, {10, 15}});
    CHECK(first.rated == 50);
    CHECK(*first.agreement == Approx(.70).epsilon(1e-14));
    CHECK(*first.by_chance == Approx(.50).epsilon(1e-14));
    CHECK(*first.kappa == Approx(.40).epsilon(1e-14));
    // Alike in 60 of 100 both times, but not alike beyond chance.
    CHECK(*kappa_of({{45, 15}, {25, 15}}).agreement == Approx(.6).epsilon(1e-14));
    CHECK(*kappa_of({{25, 35}, {5, 35}}).agreement == Approx(.6).epsilon(1e-14));
    CHECK(*kappa_of({{45, 15}, {25, 15}}).kappa == Approx(.1304).margin(5e-5).epsilon(0));
    CHECK(*kappa_of({{25, 35}, {5, 35}}).kappa == Approx(.2593).margin(5e-5).epsilon(0));
}

TEST_CASE("kappa of three categories and its errors are those of SAS") {
    // As in the tests of statsmodels.
    const RatingTable counts{{0, 4, 1}, {0, 8, 0}, {0, 1, 5}};
    const Kappa plain = kappa_of(counts);
    CHECK(*plain.kappa == Approx(.4842).margin(5e-5).epsilon(0));
    CHECK(*plain.kappa == Approx(.484163).margin(5e-7).epsilon(0));
    CHECK(*plain.error == Approx(.1380).margin(5e-5).epsilon(0));
    CHECK(plain.interval->low == Approx(.2137).margin(5e-5).epsilon(0));
    CHECK(plain.interval->high == Approx(.7547).margin(5e-5).epsilon(0));
    CHECK(*plain.z == Approx(3.2626).margin(5e-5).epsilon(0));
    const Kappa linear = kappa_of(counts, Weights::linear);
    CHECK(*linear.kappa == Approx(.4701).margin(5e-5).epsilon(0));
    CHECK(*linear.error == Approx(.1457).margin(5e-5).epsilon(0));
}

TEST_CASE("kappa is 1 of ratings that are alike and 0 of those that have nothing to do with each other") {
    for (const Weights weights : {Weights::none, Weights::linear, Weights::quadratic}) {
        const Kappa alike = kappa_of({{7, 0, 0}, {0, 3, 0}, {0, 0, 11}}, weights);
        CHECK(*alike.kappa == 1.0);
        CHECK(*alike.error == Approx(0).margin(1e-15));
        CHECK(alike.interval->high == 1.0);
        CHECK(*alike.z > 3);
        // Shares 2:3:5 by 1:2:1.
        const Kappa independent = kappa_of({{2, 4, 2}, {3, 6, 3}, {5, 10, 5}}, weights);
        CHECK(*independent.kappa == Approx(0).margin(1e-15));
        CHECK(*independent.z == Approx(0).margin(1e-12));
        // Where there is nothing but chance, both errors are of the same thing.
        CHECK(*independent.error == Approx(*independent.error_at_zero).epsilon(1e-12));
    }
    CHECK(*kappa_of({{0, 5}, {5, 0}}).kappa == Approx(-1).epsilon(1e-14));
    // Of few things the interval would reach beyond what kappa can be.
    const Kappa few = kappa_of({{3, 1}, {0, 3}});
    CHECK(*few.kappa + 1.96 * *few.error > 1.1);
    CHECK(few.interval->high == 1.0);
    const Kappa against = kappa_of({{0, 3}, {3, 1}});
    CHECK(*against.kappa - 1.96 * *against.error < -1.1);
    CHECK(against.interval->low == -1.0);
}

TEST_CASE("kappa is undefined where chance alone agrees and where nothing was rated") {
    for (const Weights weights : {Weights::none, Weights::linear, Weights::quadratic}) {
        const Kappa constant = kappa_of({{0, 0, 0}, {0, 12, 0}, {0, 0, 0}}, weights);
        CHECK(*constant.agreement == 1.0);
        CHECK(*constant.by_chance == 1.0);
        CHECK_FALSE(constant.kappa);
        CHECK_FALSE(constant.error);
        CHECK_FALSE(constant.interval);
        CHECK_FALSE(constant.z);
        const Kappa nothing = kappa_of({{0, 0}, {0, 0}}, weights);
        CHECK(nothing.rated == 0);
        CHECK_FALSE(nothing.agreement);
        CHECK_FALSE(nothing.kappa);
        // One thing of a thousand million apart: as near as can be, and defined.
        CHECK(kappa_of({{999'999'998, 1}, {0, 1}}, weights).kappa.value() == Approx(2.0 / 3).epsilon(1e-6));
        // One rater who always says the same is no better than chance, and gives nothing to test it against.
        const Kappa deaf = kappa_of({{4, 2, 3}, {0, 0, 0}, {0, 0, 0}}, weights);
        CHECK(*deaf.kappa == Approx(0).margin(1e-15));
        CHECK_FALSE(deaf.z);
        CHECK_FALSE(deaf.error_at_zero);
    }
    CHECK_FALSE(kappa_of({{5}}).kappa);
    // Raters who share no category.
    CHECK_FALSE(kappa_of({{0, 0, 3, 1}, {0, 0, 2, 4}, {0, 0, 0, 0}, {0, 0, 0, 0}}, Weights::linear).z);
}

TEST_CASE(
    "kappa does not change with who comes first or with the order of categories or by more of the same") {
    std::mt19937 random(5);
    for (int round = 0; round < 200; ++round) {
        const std::size_t size = 2 + random() % 4;
        RatingTable counts(size, std::vector<std::int64_t>(size));
        for (auto& row : counts) {
            for (auto& count : row)
                count = 1 + static_cast<std::int64_t>(random() % 30);
        }
        RatingTable reversed = counts;
        std::reverse(reversed.begin(), reversed.end());
        for (auto& row : reversed)
            std::reverse(row.begin(), row.end());
        RatingTable fourfold = counts;
        for (auto& row : fourfold) {
            for (auto& count : row)
                count *= 4;
        }
        int power = 0;
        for (const Weights weights : {Weights::none, Weights::linear, Weights::quadratic}) {
            const Kappa now = kappa_of(counts, weights);
            CHECK(*now.kappa == Approx(plain_kappa(counts, power++)).margin(1e-12));
            CHECK(*kappa_of(transposed(counts), weights).kappa == Approx(*now.kappa).margin(1e-12));
            CHECK(*kappa_of(transposed(counts), weights).error == Approx(*now.error).epsilon(1e-9));
            CHECK(*kappa_of(reversed, weights).kappa == Approx(*now.kappa).margin(1e-12));
            CHECK(*kappa_of(fourfold, weights).kappa == Approx(*now.kappa).margin(1e-12));
            CHECK(*kappa_of(fourfold, weights).error == Approx(*now.error / 2).epsilon(1e-9));
            CHECK(now.interval->holds(*now.kappa));
            if (size == 2) CHECK(*now.kappa == Approx(*kappa_of(counts).kappa).margin(1e-12));
        }
    }
}

TEST_CASE("the error of kappa is how far kappa strays when the same things are drawn again") {
    // Asymptotic: against the spread of 4000 draws of 400 things each.
    const RatingTable counts{{80, 30, 10}, {20, 100, 40}, {5, 35, 80}};
    std::vector<std::int64_t> cells;
    for (const auto& row : counts)
        cells.insert(cells.end(), row.begin(), row.end());
    std::mt19937_64 random(7);
    std::discrete_distribution<std::size_t> draw(cells.begin(), cells.end());
    for (const Weights weights : {Weights::none, Weights::linear, Weights::quadratic}) {
        double sum = 0, squares = 0;
        constexpr int kDraws = 4000;
        for (int i = 0; i < kDraws; ++i) {
            RatingTable drawn(3, std::vector<std::int64_t>(3));
            for (int thing = 0; thing < 400; ++thing) {
                const std::size_t cell = draw(random);
                ++drawn[cell / 3][cell % 3];
            }
            const double value = *kappa_of(drawn, weights).kappa;
            sum += value;
            squares += value * value;
        }
        const double spread = std::sqrt(squares / kDraws - (sum / kDraws) * (sum / kDraws));
        CHECK(*kappa_of(counts, weights).error == Approx(spread).epsilon(0.05));
    }
}

TEST_CASE("tables of ratings that are none are refused with what is wrong") {
    const auto error = [](const RatingTable& counts, double confidence) {
        const auto result = kappa(counts, Weights::none, confidence);
        return result ? std::string() : result.error().text();
    };
    CHECK(error({}, 0.95) == "The table of ratings has no category.");
    CHECK(error({{1, 2}, {3}}, 0.95) ==
          "The table of ratings has 2 rows and a row of 1: both raters need the same categories.");
    CHECK(error({{1, 2}, {3, -4}}, 0.95) == "The table of ratings has a count of -4.");
    CHECK(error({{600'000'000, 0}, {0, 600'000'000}}, 0.95) ==
          "The table of ratings has more than 1000000000 things.");
    CHECK(error({{1, 2}, {3, std::numeric_limits<std::int64_t>::max()}}, 0.95) ==
          "The table of ratings has more than 1000000000 things.");
    CHECK_FALSE(error({{1, 2}, {3, 4}}, 1).empty());
    CHECK(error({{1, 2}, {3, 4}}, 0.95).empty());
}

TEST_CASE("limits of agreement are those of the two flow meters") {
    // Bland and Altman 1986, table 1, first readings: mean difference (large - mini) -2.1, standard deviation
    // 38.8, limits -79.7 and 75.5 with a factor of 2; each limit's standard error 16.3.
    const std::vector<MomentPair> pairs{{512, 494}, {430, 395}, {520, 516}, {428, 434}, {500, 476},
                                        {600, 557}, {364, 413}, {380, 442}, {658, 650}, {445, 433},
                                        {432, 417}, {626, 656}, {260, 267}, {477, 478}, {259, 178},
                                        {350, 423}, {451, 427}};
    const MomentAgreement found = agreement_of_moments(pairs, 10);
    CHECK(found.paired == 17);
    CHECK(*found.mean == Approx(-2.1).margin(0.05).epsilon(0));
    CHECK(*found.standard == Approx(38.8).margin(0.05).epsilon(0));
    CHECK(*found.mean - 2 * *found.standard == Approx(-79.7).margin(0.1).epsilon(0));
    CHECK(*found.mean + 2 * *found.standard == Approx(75.5).margin(0.1).epsilon(0));
    CHECK(*found.limit_error == Approx(16.3).margin(0.05).epsilon(0));
    CHECK(found.limits->low == Approx(*found.mean - 1.959963985 * *found.standard).epsilon(1e-9));
    CHECK(found.limits->high == Approx(*found.mean + 1.959963985 * *found.standard).epsilon(1e-9));
    // In order: -81 -43 -35 -24 -24 -18 -15 -12 -8 -4 1 6 7 30 49 62 73.
    CHECK(*found.median == -8);
    CHECK(found.within == 5);
    CHECK(*found.share_within == Approx(5.0 / 17).epsilon(1e-14));
}

TEST_CASE("moments that only one rater marked are counted and in no figure") {
    const MomentAgreement found = agreement_of_moments(
        {{10, 11}, {20, std::nullopt}, {std::nullopt, 7}, {std::nullopt, 8}, {}, {30, 34}}, 1);
    CHECK(found.paired == 2);
    CHECK(found.only_first == 1);
    CHECK(found.only_second == 2);
    CHECK(found.neither == 1);
    CHECK(*found.mean == 2.5);
    CHECK(*found.median == 2.5);
    CHECK(found.within == 1);
    CHECK(*found.share_within == 0.5);
    CHECK(*found.standard == Approx(std::sqrt(4.5)).epsilon(1e-14));

    const MomentAgreement none = agreement_of_moments({{std::nullopt, 7}}, 1);
    CHECK_FALSE(none.mean);
    CHECK_FALSE(none.median);
    CHECK_FALSE(none.share_within);
    CHECK(none.only_second == 1);
    const MomentAgreement one = agreement_of_moments({{3, 5}}, 0);
    CHECK(*one.median == 2);
    CHECK(*one.share_within == 0);
    CHECK_FALSE(one.standard);
    CHECK_FALSE(one.limits);
    CHECK(agreement_of_moments({}, 0).paired == 0);
}

TEST_CASE("differences turn their sign when the raters change places") {
    std::mt19937 random(11);
    std::vector<MomentPair> pairs, other;
    for (int i = 0; i < 300; ++i) {
        MomentPair pair;
        if (random() % 10 != 0) pair.first = static_cast<std::int64_t>(random() % 1000);
        if (random() % 10 != 0) pair.second = static_cast<std::int64_t>(random() % 1000);
        pairs.push_back(pair);
        other.push_back({pair.second, pair.first});
    }
    const MomentAgreement now = agreement_of_moments(pairs, 40);
    const MomentAgreement turned = agreement_of_moments(other, 40);
    CHECK(now.paired + now.only_first + now.only_second + now.neither == 300);
    CHECK(*turned.median == -*now.median);
    CHECK(*turned.mean == Approx(-*now.mean).margin(1e-9));
    CHECK(turned.limits->low == Approx(-now.limits->high).epsilon(1e-12));
    CHECK(turned.within == now.within);
    CHECK(turned.only_first == now.only_second);
}

TEST_CASE("moments of frames that lie so many frames apart are within so many frames") {
    for (const base::Rational length : {base::Rational{1001, 30'000}, base::Rational{1, 25},
                                        base::Rational{1, 240}, base::Rational{1001, 60'000}}) {
        for (int apart = 0; apart <= 3; ++apart) {
            const std::int64_t tolerance = frames_as_tolerance(apart, length);
            for (std::int64_t frame = 0; frame < 500; ++frame) {
                const std::int64_t at = base::floor_to_time(frame, length).ns;
                INFO(frame << " and " << apart);
                CHECK(agreement_of_moments({{at, base::floor_to_time(frame + apart, length).ns}}, tolerance)
                          .within == 1);
                CHECK(
                    agreement_of_moments({{at, base::floor_to_time(frame + apart + 1, length).ns}}, tolerance)
                        .within == 0);
            }
        }
    }
    CHECK(frames_as_tolerance(1, {1001, 30'000}) == 33'366'667);
    CHECK(frames_as_tolerance(2, {1, 25}) == 80'000'000);
}
