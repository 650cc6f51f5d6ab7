// Measures of people: the published tables, and the model between their percentiles.
#include "study/people.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "study/internal/monotone.h"

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

/// The statage table's row of boys of 120.5 months, in full; centimetres.
constexpr Lms kBoysOfTen{.505564115, 138.8234114, .047610108};

Measure measure_of(Body body, Sex sex, double months) {
    const auto result = measure(body, sex, months);
    REQUIRE(result.ok());
    return *result;
}
double at_share(const Measure& measure, double share) {
    const auto value = lms_at_share(measure.spread, share);
    REQUIRE(value.has_value());
    return *value;
}

struct ListedAge {
    double months;
    std::array<double, 3> boys, girls;  ///< 5th, 50th and 95th percentile; centimetres
};
// CDC 2000, statage.
const ListedAge kListed[]{
    {72.5, {107.3, 115.7, 123.9}, {106.9, 115.0, 123.9}},
    {96.5, {118.8, 128.1, 137.8}, {118.5, 127.8, 137.9}},
    {120.5, {128.2, 138.8, 149.9}, {127.5, 138.2, 149.6}},
    {144.5, {137.3, 149.3, 161.9}, {139.2, 151.5, 163.5}},
    {168.5, {150.5, 164.1, 177.0}, {149.7, 160.5, 171.3}},
    {192.5, {160.8, 173.6, 185.5}, {151.9, 162.6, 173.2}},
    {240, {165.0, 176.8, 188.5}, {152.7, 163.3, 174.0}},
};

}  // namespace

TEST_CASE("the row of ten years has the percentiles of the growth chart") {
    // CDC 2000, statage, boys of 120.5 months: tabulated to seven decimals.
    CHECK(*lms_at_share(kBoysOfTen, 0.03) == Approx(126.6677753).margin(3e-7).epsilon(0));
    CHECK(*lms_at_share(kBoysOfTen, 0.05) == Approx(128.1624542).margin(3e-7).epsilon(0));
    CHECK(*lms_at_share(kBoysOfTen, 0.50) == Approx(138.8234114).margin(3e-7).epsilon(0));
    CHECK(*lms_at_share(kBoysOfTen, 0.95) == Approx(149.9053151).margin(3e-7).epsilon(0));
}

TEST_CASE("the weight example of the growth charts has its score and its percentile") {
    // CDC, 'percentile data files with LMS values': 9.7 kg at nine months. Score and percentile from the
    // formula.
    const Lms weight{-.1600954, 9.476500305, .11218624};
    CHECK(lms_z(weight, 9.7) == Approx(.2073994).margin(5e-8).epsilon(0));
    CHECK(100 * lms_share_below(weight, 9.7) == Approx(58.215).margin(5e-4).epsilon(0));
    CHECK(std::lround(100 * lms_share_below(weight, 9.7)) == 58);
    CHECK(*lms_at_z(weight, lms_z(weight, 9.7)) == Approx(9.7).epsilon(1e-14));
}

TEST_CASE("score and measure lead back to each other and a power of 0 is the logarithm") {
    for (const double l : {-3.0, -1.0, -1e-9, 0.0, 1e-12, 0.5, 1.0, 2.5}) {
        const Lms lms{l, 1.5, 0.06};
        double before = 0;
        for (double z = -3; z <= 3; z += 0.25) {
            INFO("L " << l << " z " << z);
            const auto x = lms_at_z(lms, z);
            REQUIRE(x.has_value());
            CHECK(lms_z(lms, *x) == Approx(z).margin(1e-12));
            CHECK(*x > before);
            before = *x;
        }
    }
    CHECK(*lms_at_z({0, 2, 0.1}, 1) == Approx(2 * std::exp(0.1)).epsilon(1e-15));
    CHECK(*lms_at_z({1e-9, 2, 0.1}, 1) == Approx(2 * std::exp(0.1)).epsilon(1e-9));
    // The normal distribution, and where the model ends.
    CHECK(*lms_at_z(lms_of_normal(10, 2), 1.5) == Approx(13).epsilon(1e-15));
    CHECK_FALSE(lms_at_z({2, 1, 0.5}, -1.01));
    CHECK(lms_at_z({2, 1, 0.5}, -0.99));
    CHECK_FALSE(lms_at_z({-2, 1, 0.5}, 1.01));
}

TEST_CASE("three percentiles lead back to the power and median and spread that made them") {
    const auto found = lms_through(128.1624542, 138.8234114, 149.9053151);
    REQUIRE(found.has_value());
    CHECK(found->l == Approx(kBoysOfTen.l).margin(3e-7).epsilon(0));
    CHECK(found->m == kBoysOfTen.m);
    CHECK(found->s == Approx(kBoysOfTen.s).margin(1e-9).epsilon(0));
    for (const double l : {-8.0, -1.0, 0.0, 0.3, 1.0, 6.0}) {
        const Lms made{l, 1.7, 0.05};
        const auto back =
            lms_through(*lms_at_share(made, 0.05), *lms_at_share(made, 0.5), *lms_at_share(made, 0.95));
        REQUIRE(back.has_value());
        CHECK(back->l == Approx(l).margin(1e-9));
        CHECK(back->s == Approx(0.05).epsilon(1e-10));
    }
    CHECK_FALSE(lms_through(2, 2, 3));
    CHECK_FALSE(lms_through(1, 3, 2));
    CHECK_FALSE(lms_through(-1, 2, 3));
    CHECK_FALSE(lms_through(1, 2, std::numeric_limits<double>::infinity()));
    CHECK_FALSE(lms_through(1, 2, std::numeric_limits<double>::quiet_NaN()));
    // Askew beyond what is looked for.
    CHECK_FALSE(lms_through(1.0, 1.001, 2.0));
}

TEST_CASE("stature at the listed ages has the published percentiles and says that it is not interpolated") {
    for (const ListedAge& age : kListed) {
        for (const Sex sex : {Sex::male, Sex::female}) {
            INFO(age.months);
            const auto& cm = sex == Sex::male ? age.boys : age.girls;
            const Measure stature = measure_of(Body::stature, sex, age.months);
            CHECK_FALSE(stature.interpolated);
            CHECK(stature.published->p5 == Approx(cm[0] / 100).epsilon(1e-14));
            CHECK(stature.published->p50 == Approx(cm[1] / 100).epsilon(1e-14));
            CHECK(stature.published->p95 == Approx(cm[2] / 100).epsilon(1e-14));
            CHECK(at_share(stature, 0.05) == Approx(cm[0] / 100).epsilon(1e-12));
            CHECK(at_share(stature, 0.50) == Approx(cm[1] / 100).epsilon(1e-12));
            CHECK(at_share(stature, 0.95) == Approx(cm[2] / 100).epsilon(1e-12));
            CHECK(stature.share_at_least(cm[0] / 100) == Approx(0.95).epsilon(1e-9));
            CHECK(stature.share_at_least(cm[2] / 100) == Approx(0.05).epsilon(1e-9));
        }
    }
}

TEST_CASE("what is recovered from three rounded percentiles is near the row that is given in full") {
    const Measure recovered = measure_of(Body::stature, Sex::male, 120.5);
    for (const double share : {0.03, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.97}) {
        INFO(share);
        // As near as the digits: the percentiles are given to a millimetre.
        CHECK(100 * at_share(recovered, share) ==
              Approx(*lms_at_share(kBoysOfTen, share)).margin(0.1).epsilon(0));
    }
    CHECK(recovered.spread.s == Approx(kBoysOfTen.s).margin(2e-4).epsilon(0));
    CHECK(recovered.spread.l == Approx(kBoysOfTen.l).margin(0.2).epsilon(0));
}

TEST_CASE("between the listed ages stature grows and its percentiles stay in order and it says so") {
    for (const Sex sex : {Sex::male, Sex::female}) {
        double before[3]{};
        for (double months = kFirstMonth; months <= kLastMonth; months += 0.5) {
            INFO(months);
            const Measure stature = measure_of(Body::stature, sex, months);
            const double now[3]{at_share(stature, 0.05), at_share(stature, 0.5), at_share(stature, 0.95)};
            CHECK(now[0] < now[1]);
            CHECK(now[1] < now[2]);
            for (int i = 0; i < 3; ++i) {
                CHECK(now[i] >= before[i] - 1e-12);
                before[i] = now[i];
            }
            bool listed = false;
            for (const ListedAge& age : kListed)
                listed = listed || age.months == months;
            CHECK(stature.interpolated == !listed);
        }
    }
}

TEST_CASE("a median left out of the table is met within what the contract says") {
    double farthest = 0;
    for (std::size_t left_out = 1; left_out <= 4; ++left_out) {
        for (const Sex sex : {Sex::male, Sex::female}) {
            std::vector<double> months, medians;
            for (std::size_t i = 0; i < std::size(kListed); ++i) {
                if (i == left_out) continue;
                months.push_back(kListed[i].months);
                medians.push_back((sex == Sex::male ? kListed[i].boys : kListed[i].girls)[1]);
            }
            const double truth = (sex == Sex::male ? kListed[left_out].boys : kListed[left_out].girls)[1];
            farthest = std::max(
                farthest, std::abs(monotone_between(months, medians, kListed[left_out].months) - truth));
        }
    }
    CHECK(farthest <= 2.4);
    CHECK(farthest > 2.3);
}

TEST_CASE("the curve between points of a table goes through them and turns only where they do") {
    const double xs[]{0, 1, 2, 4, 5, 9};
    const double ys[]{0, 3, 3, 5, 1, 0};
    for (std::size_t i = 0; i < 6; ++i)
        CHECK(monotone_between(xs, ys, xs[i]) == Approx(ys[i]).margin(1e-14));
    double before = 0;
    for (int i = 0; i <= 900; ++i) {
        const double x = i / 100.0;
        const double y = monotone_between(xs, ys, x);
        INFO(x);
        CHECK((x <= 4 ? y >= before - 1e-12 : y <= before + 1e-12));
        if (x >= 1 && x <= 2) CHECK(y == Approx(3).epsilon(1e-14));
        before = y;
    }
    // An end that would overshoot before a sharp turn does not.
    const double turn_xs[]{0, 1, 2};
    const double turn_ys[]{0, 1, -4};
    for (int i = 1; i <= 100; ++i)
        CHECK(monotone_between(turn_xs, turn_ys, i / 100.0) >
              monotone_between(turn_xs, turn_ys, (i - 1) / 100.0));
    // Fritsch and Butland: pieces of 1 and 3 with slopes 1 and 1/3 meet at 3 (1 + 3) / (7 / 1 + 5 / (1/3)).
    const double bent_xs[]{0, 1, 4};
    const double bent_ys[]{0, 1, 2};
    const double step = 1e-5;
    CHECK((monotone_between(bent_xs, bent_ys, 1 + step) - monotone_between(bent_xs, bent_ys, 1 - step)) /
              (2 * step) ==
          Approx(12.0 / 22).margin(1e-5));
    // A straight line stays one.
    const double line[]{1, 3, 5, 9, 11, 19};
    for (const double x : {0.5, 1.7, 3.0, 4.2, 8.0})
        CHECK(monotone_between(xs, line, x) == Approx(1 + 2 * x).epsilon(1e-14));
}

TEST_CASE("adults have the published means and deviations and percentiles near them") {
    struct Row {
        Body body;
        Sex sex;
        double mean, standard, p5, p50, p95;  ///< millimetres
    };
    // ANSUR II 2012, from the published rows; the standing reach derived row by row.
    const Row rows[]{
        {Body::stature, Sex::male, 1756.2, 68.6, 1648, 1755, 1870},
        {Body::span, Sex::male, 1814.2, 84.6, 1680, 1812, 1957},
        {Body::overhead_reach_sitting, Sex::male, 1426.7, 67.7, 1316, 1426, 1540},
        {Body::overhead_reach, Sex::male, 2264.6, 104.4, 2097, 2263, 2438},
        {Body::stature, Sex::female, 1628.5, 64.2, 1525, 1626, 1740},
        {Body::span, Sex::female, 1660.3, 83.0, 1529, 1657, 1803},
        {Body::overhead_reach_sitting, Sex::female, 1309.7, 62.4, 1207, 1309, 1413},
        {Body::overhead_reach, Sex::female, 2081.6, 98.2, 1926, 2078, 2253},
    };
    for (const Row& row : rows) {
        INFO(row.mean);
        const Measure found = measure_of(row.body, row.sex, 300);
        CHECK_FALSE(found.interpolated);
        CHECK(1000 * found.spread.m == Approx(row.mean).margin(0.05).epsilon(0));
        CHECK(1000 * found.spread.m * found.spread.s == Approx(row.standard).margin(0.05).epsilon(0));
        CHECK(1000 * found.published->p5 == Approx(row.p5).epsilon(1e-12));
        CHECK(1000 * found.published->p50 == Approx(row.p50).epsilon(1e-12));
        CHECK(1000 * found.published->p95 == Approx(row.p95).epsilon(1e-12));
        // The normal model, as near as the contract says.
        CHECK(1000 * at_share(found, 0.05) == Approx(row.p5).margin(10).epsilon(0));
        CHECK(1000 * at_share(found, 0.50) == Approx(row.p50).margin(10).epsilon(0));
        CHECK(1000 * at_share(found, 0.95) == Approx(row.p95).margin(10).epsilon(0));
        CHECK(found.share_at_least(found.spread.m) == Approx(0.5).epsilon(1e-12));
        CHECK(found.share_at_least(row.p95 / 1000) == Approx(0.05).margin(0.012));
    }
    const Measure man = measure_of(Body::sitting_height, Sex::male, 300);
    CHECK(1000 * man.spread.m == Approx(918.3).margin(0.05).epsilon(0));
    CHECK(1000 * man.spread.m * man.spread.s == Approx(35.7).margin(0.05).epsilon(0));
    const Measure woman = measure_of(Body::sitting_height, Sex::female, 300);
    CHECK(1000 * woman.spread.m == Approx(856.6).margin(0.05).epsilon(0));
    CHECK(1000 * woman.spread.m * woman.spread.s == Approx(33.1).margin(0.05).epsilon(0));
    CHECK_FALSE(woman.published);
}

TEST_CASE("standing overhead reach is stature less sitting height plus the reach sitting") {
    for (const Sex sex : {Sex::male, Sex::female}) {
        const auto mean = [&](Body body) { return 1000 * measure_of(body, sex, 300).spread.m; };
        CHECK(mean(Body::overhead_reach) ==
              Approx(mean(Body::stature) - mean(Body::sitting_height) + mean(Body::overhead_reach_sitting))
                  .margin(0.15)
                  .epsilon(0));
    }
}

TEST_CASE("parts of adults have the published means and what is gripped is lower than what is touched") {
    // ANSUR II 2012; millimetres.
    CHECK(1000 * mean_of(Part::crotch_height, Sex::male).value == Approx(845.9).epsilon(1e-12));
    CHECK(1000 * mean_of(Part::hand_length, Sex::male).value == Approx(193.3).epsilon(1e-12));
    CHECK(1000 * mean_of(Part::foot_length, Sex::male).value == Approx(271.2).epsilon(1e-12));
    CHECK(1000 * mean_of(Part::crotch_height, Sex::female).value == Approx(782.3).epsilon(1e-12));
    CHECK(1000 * mean_of(Part::hand_length, Sex::female).value == Approx(181.1).epsilon(1e-12));
    CHECK(1000 * mean_of(Part::foot_length, Sex::female).value == Approx(246.3).epsilon(1e-12));
    // After Pheasant: fingertip reach is the grip's plus 0.6 hand lengths, the thumb's tip the grip's plus
    // 0.2.
    for (const Sex sex : {Sex::male, Sex::female}) {
        const double hand = mean_of(Part::hand_length, sex).value;
        const double grip = mean_overhead_reach(HandPoint::grip, sex).value;
        CHECK(mean_overhead_reach(HandPoint::fingertip, sex).value ==
              Approx(grip + 0.6 * hand).epsilon(1e-12));
        CHECK(mean_overhead_reach(HandPoint::thumbtip, sex).value ==
              Approx(grip + 0.2 * hand).epsilon(1e-12));
        CHECK(mean_overhead_reach(HandPoint::fingertip, sex).value ==
              Approx(measure_of(Body::overhead_reach, sex, 300).spread.m).epsilon(1e-12));
    }
}

TEST_CASE("the normal model has the statures of adults from 19 to 65") {
    // United States, 19 to 65 years, rounded to 5 mm: 5th, 50th and 95th percentile, standard deviation.
    struct Row {
        Sex sex;
        double p5, p50, p95, standard;
    };
    for (const Row& row : {Row{Sex::male, 1640, 1755, 1870, 71}, Row{Sex::female, 1520, 1625, 1730, 64}}) {
        const Lms normal = lms_of_normal(row.p50, row.standard);
        CHECK(*lms_at_share(normal, 0.05) == Approx(row.p5).margin(2.5).epsilon(0));
        CHECK(*lms_at_share(normal, 0.95) == Approx(row.p95).margin(2.5).epsilon(0));
        // Soldiers are about as tall.
        const Measure soldiers = measure_of(Body::stature, row.sex, 400);
        CHECK(1000 * at_share(soldiers, 0.05) == Approx(row.p5).margin(10).epsilon(0));
        CHECK(1000 * at_share(soldiers, 0.50) == Approx(row.p50).margin(10).epsilon(0));
        CHECK(1000 * at_share(soldiers, 0.95) == Approx(row.p95).margin(10).epsilon(0));
    }
}

TEST_CASE("what no table tells is refused and not reckoned from something else") {
    for (const Body body :
         {Body::span, Body::overhead_reach, Body::overhead_reach_sitting, Body::sitting_height}) {
        for (const double months : {120.5, 215.9}) {
            const auto refused = measure(body, Sex::male, months);
            REQUIRE_FALSE(refused.ok());
            CHECK(refused.error().category == base::Category::not_found);
        }
        CHECK(measure(body, Sex::male, kAdultFrom).ok());
    }
    CHECK(measure(Body::overhead_reach, Sex::female, 120.5).error().text() ==
          "No table here tells the span or reach of people under 18 years, and it does not follow from their "
          "stature: measure those who come.");
    for (const double months : {-1.0, 0.0, 72.4})
        CHECK_FALSE(measure(Body::stature, Sex::male, months).ok());
    for (const double none :
         {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
        CHECK_FALSE(measure(Body::stature, Sex::male, none).ok());
        CHECK_FALSE(measure(Body::span, Sex::male, none).ok());
    }
    CHECK(measure(Body::stature, Sex::male, 60).error().text() ==
          "No table here tells the stature at 60 months; they begin at 72.5.");
    // Where growth ends the soldiers take over.
    CHECK(std::string(measure_of(Body::stature, Sex::male, 240).from->source) ==
          "CDC growth charts 2000, stature for age");
    CHECK(std::string(measure_of(Body::stature, Sex::male, 240.5).from->source) == "ANSUR II 2012");
}

TEST_CASE("every figure of people says where it comes from and whom it does not serve") {
    std::vector<const Provenance*> all;
    for (const Body body : {Body::stature, Body::span, Body::overhead_reach, Body::overhead_reach_sitting,
                            Body::sitting_height})
        all.push_back(measure_of(body, Sex::female, 300).from);
    all.push_back(measure_of(Body::stature, Sex::female, 100).from);
    for (const Part part : {Part::crotch_height, Part::hand_length, Part::foot_length}) {
        all.push_back(mean_of(part, Sex::male).from);
        CHECK(std::string(all.back()->spread) == "no spread published");
    }
    for (const HandPoint point : {HandPoint::fingertip, HandPoint::thumbtip, HandPoint::grip})
        all.push_back(mean_overhead_reach(point, Sex::male).from);
    for (const Provenance* from : all) {
        REQUIRE(from != nullptr);
        for (const char* text : {from->source, from->people, from->spread, from->not_for})
            CHECK_FALSE(std::string(text).empty());
    }
}
