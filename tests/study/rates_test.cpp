// Rates and their intervals: published values, and what follows from the definitions by counting.
#include "study/rates.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

constexpr double kZ = 1.959963985;  ///< of 0.95, as the published tables have it

Rate rate_of(std::int64_t happened, std::int64_t trials, double confidence = 0.95) {
    const auto result = rate({happened, trials}, confidence);
    REQUIRE(result.ok());
    return *result;
}

/// The probability of exactly k in n, by the definition.
double exactly(int k, int n, double share) {
    double ways = 1;
    for (int i = 0; i < k; ++i)
        ways = ways * (n - i) / (i + 1);
    return ways * std::pow(share, k) * std::pow(1 - share, n - k);
}
double at_least(int k, int n, double share) {
    double sum = 0;
    for (int i = k; i <= n; ++i)
        sum += exactly(i, n, share);
    return sum;
}

/// Wilson's interval as his paper has it, without care for rounding.
Interval plain_wilson(double k, double n) {
    const double p = k / n;
    const double middle = (p + kZ * kZ / (2 * n)) / (1 + kZ * kZ / n);
    const double half = kZ / (1 + kZ * kZ / n) * std::sqrt(p * (1 - p) / n + kZ * kZ / (4 * n * n));
    return {middle - half, middle + half};
}

/// How often an interval of n trials holds this share.
template <class Pick>
double coverage(const std::vector<Rate>& rates, double share, const Pick& pick) {
    const int n = static_cast<int>(rates.size()) - 1;
    double sum = 0;
    for (int k = 0; k <= n; ++k) {
        if (pick(rates[static_cast<std::size_t>(k)]).holds(share)) sum += exactly(k, n, share);
    }
    return sum;
}
std::vector<Rate> all_rates(int n) {
    std::vector<Rate> rates;
    for (int k = 0; k <= n; ++k)
        rates.push_back(rate_of(k, n));
    return rates;
}
const auto kWilson = [](const Rate& rate) { return rate.wilson; };
const auto kClopperPearson = [](const Rate& rate) { return rate.clopper_pearson; };

}  // namespace

TEST_CASE("both intervals of a rate are the published ones") {
    struct Row {
        std::int64_t happened, trials;
        Interval wilson, clopper_pearson;
        double digits;  ///< of the coarsest of the four
    };
    // Reckoned from the definitions where no source is named, to the digits given.
    const Row rows[]{
        {0, 10, {0, .277533}, {0, .308497}, 1e-6},
        {1, 10, {.017876, .404150}, {.002529, .445016}, 1e-6},
        {5, 10, {.236593, .763407}, {.187086, .812914}, 1e-6},
        {8, 10, {.490162, .943318}, {.443905, .974789}, 1e-6},
        {10, 10, {.722467, 1}, {.691503, 1}, 1e-6},
        {3, 3, {.438503, 1}, {.292402, 1}, 1e-6},
        {5, 5, {.565518, 1}, {.478176, 1}, 1e-6},
        // R package binom, as in the tests of statsmodels (82c59e3).
        {18, 20, {.6989663548, .9721335188}, {.6830172860, .9876514728}, 1e-10},
        {4, 20, {.0806576626, .4160174323}, {.0573339971, .4366140030}, 1e-10},
        {0, 30, {0, .11351339}, {0, .11570331}, 1e-8},
        {30, 30, {.8864866, 1}, {.8842967, 1}, 1e-7},
        {19, 38, {.348499283643951, .651500716356049}, {.333789, .666211}, 1e-6},
        // Clopper-Pearson: documentation of scipy.
        {7, 50, {.069508, .261862}, {.05819170034, .26739600250}, 1e-6},
    };
    for (const Row& row : rows) {
        INFO(row.happened << " of " << row.trials);
        const Rate rate = rate_of(row.happened, row.trials);
        const double margin = row.digits * 0.51;
        CHECK(rate.wilson.low == Approx(row.wilson.low).margin(margin).epsilon(0));
        CHECK(rate.wilson.high == Approx(row.wilson.high).margin(margin).epsilon(0));
        CHECK(rate.clopper_pearson.low == Approx(row.clopper_pearson.low).margin(margin).epsilon(0));
        CHECK(rate.clopper_pearson.high == Approx(row.clopper_pearson.high).margin(margin).epsilon(0));
        CHECK(*rate.share == static_cast<double>(row.happened) / static_cast<double>(row.trials));
    }
    // The finer ends of two of these rows.
    CHECK(rate_of(19, 38).wilson.low == Approx(.348499283643951).margin(1e-14).epsilon(0));
    CHECK(rate_of(19, 38).wilson.high == Approx(.651500716356049).margin(1e-14).epsilon(0));
    CHECK(rate_of(7, 50).clopper_pearson.low == Approx(.05819170034).margin(1e-11).epsilon(0));
    CHECK(rate_of(7, 50).clopper_pearson.high == Approx(.26739600250).margin(1e-11).epsilon(0));
}

TEST_CASE("where something always happened the exact interval keeps half of alpha at its other end") {
    // 30 of 30: 0.025^(1/30), as R's binom and statsmodels have it; 0.05^(1/30) = .904966 would be one-sided.
    const Interval interval = rate_of(30, 30).clopper_pearson;
    CHECK(interval.low == Approx(.884297).margin(5e-7).epsilon(0));
    CHECK(interval.low == Approx(std::pow(0.025, 1.0 / 30)).epsilon(1e-13));
    CHECK(interval.low < .9049);
    CHECK(interval.high == 1.0);
    CHECK(1 - none_seen(30, 0.95)->allowed == Approx(.904966).margin(5e-7).epsilon(0));
}

TEST_CASE(
    "what none in so many trials still allows is exact and has the rule of three beside it of many only") {
    // Jovanovic and Levy 1997; Eypasch and others 1995. The exact ones from the definition.
    struct Row {
        std::int64_t trials;
        double exact, rule;
        bool served;
    };
    for (const Row& row :
         {Row{10, .258866, .3, false}, Row{20, .139108, .15, false}, Row{30, .095034, .1, false},
          Row{100, .029513, .03, true}, Row{300, .009936, .01, true}}) {
        INFO(row.trials);
        const auto none = none_seen(row.trials, 0.95);
        REQUIRE(none.ok());
        CHECK(none->allowed == Approx(row.exact).margin(5e-7).epsilon(0));
        CHECK(none->rule_of_three.has_value() == row.served);
        if (none->rule_of_three) CHECK(*none->rule_of_three == Approx(row.rule).epsilon(1e-15));
        // With that share, none in n has still the probability alpha.
        CHECK(std::pow(1 - none->allowed, static_cast<double>(row.trials)) == Approx(0.05).epsilon(1e-12));
        CHECK(none->allowed < rate_of(0, row.trials).clopper_pearson.high);
    }
    CHECK_FALSE(none_seen(30, 0.95)->rule_of_three);
    CHECK(none_seen(31, 0.95)->rule_of_three);
    CHECK_FALSE(none_seen(100, 0.99)->rule_of_three);
}

TEST_CASE("of no trials nothing is known") {
    const Rate rate = rate_of(0, 0);
    CHECK_FALSE(rate.known());
    CHECK(rate.wilson == Interval{0, 1});
    CHECK(rate.clopper_pearson == Interval{0, 1});
    CHECK(none_seen(0, 0.95)->allowed == 1.0);
    CHECK_FALSE(none_seen(0, 0.95)->rule_of_three);
    CHECK(rate_of(0, 1).known());
}

TEST_CASE("counts that are none and confidences beyond 0 and 1 are refused with what is wrong") {
    for (const Count count : {Count{-1, 3}, Count{4, 3}, Count{0, -1}, Count{0, kMostTrials + 1}}) {
        INFO(count.happened << " of " << count.trials);
        CHECK(rate(count, 0.95).error().category == base::Category::bad_input);
        CHECK(further_trials(count, {0.95, Method::wilson, Outlook::all_happen, Aim::width_at_most, 0.5, 10})
                  .error()
                  .category == base::Category::bad_input);
    }
    for (const double confidence : {0.0, 1.0, -0.5, 95.0, std::numeric_limits<double>::quiet_NaN()}) {
        INFO(confidence);
        CHECK_FALSE(rate({1, 3}, confidence).ok());
        CHECK_FALSE(none_seen(3, confidence).ok());
    }
    CHECK(rate({4, 3}, 0.95).error().text() == "It cannot have happened 4 times in 3 trials.");
    for (const double figure : {0.0, 1.0, -1.0, std::numeric_limits<double>::quiet_NaN()}) {
        INFO(figure);
        CHECK_FALSE(further_trials({1, 3}, {0.95, Method::wilson, Outlook::all_happen,
                                            Aim::lower_end_at_least, figure, 10})
                        .ok());
    }
    for (const std::int64_t limit : {std::int64_t{-1}, kMostFurther + 1})
        CHECK_FALSE(further_trials(
                        {1, 3}, {0.95, Method::wilson, Outlook::all_happen, Aim::width_at_most, 0.5, limit})
                        .ok());
}

TEST_CASE("intervals lie within 0 and 1 and hold the share and move up with what happened and are mirrored") {
    for (const double confidence : {0.5, 0.8, 0.95, 0.999}) {
        for (int n : {1, 2, 3, 7, 10, 25, 40, 400, 100'000}) {
            Interval wilson{-1, -1}, exact{-1, -1};
            const int step = n > 1000 ? n / 50 : 1;
            for (int k = 0; k <= n; k += step) {
                INFO(k << " of " << n << " at " << confidence);
                const Rate now = rate_of(k, n, confidence);
                const Rate mirrored = rate_of(n - k, n, confidence);
                for (const auto& interval : {now.wilson, now.clopper_pearson}) {
                    CHECK(interval.low >= 0);
                    CHECK(interval.high <= 1);
                    CHECK(interval.low <= *now.share);
                    CHECK(interval.high >= *now.share);
                }
                CHECK((now.wilson.low == 0) == (k == 0));
                CHECK((now.clopper_pearson.low == 0) == (k == 0));
                CHECK((now.wilson.high == 1) == (k == n));
                CHECK((now.clopper_pearson.high == 1) == (k == n));
                CHECK(now.wilson.low > wilson.low);
                CHECK(now.wilson.high > wilson.high);
                CHECK(now.clopper_pearson.low > exact.low);
                CHECK(now.clopper_pearson.high > exact.high);
                CHECK(now.wilson.low == Approx(1 - mirrored.wilson.high).margin(1e-15));
                CHECK(now.clopper_pearson.low == Approx(1 - mirrored.clopper_pearson.high).margin(1e-13));
                const double middle = (now.wilson.low + now.wilson.high) / 2;
                CHECK(now.clopper_pearson.holds(middle));
                wilson = now.wilson;
                exact = now.clopper_pearson;
            }
        }
    }
}

TEST_CASE("the ends of both intervals are where their definitions put them") {
    for (int n = 1; n <= 40; ++n) {
        for (int k = 0; k <= n; ++k) {
            INFO(k << " of " << n);
            const Rate now = rate_of(k, n);
            // Clopper and Pearson: as much or more has alpha/2 at the lower end, as little or less at the
            // upper.
            if (k > 0) CHECK(at_least(k, n, now.clopper_pearson.low) == Approx(0.025).epsilon(1e-9));
            if (k < n) CHECK(1 - at_least(k + 1, n, now.clopper_pearson.high) == Approx(0.025).epsilon(1e-9));
            const Interval plain = plain_wilson(k, n);
            CHECK(now.wilson.low == Approx(plain.low).margin(1e-9));
            CHECK(now.wilson.high == Approx(plain.high).margin(1e-9));
        }
    }
    // One in a million million: plainly reckoned, the lower end would be mostly rounding.
    const Rate rare = rate_of(1, kMostTrials);
    CHECK(rare.wilson.low ==
          Approx(1e-9 / (1 + kZ * kZ / 2 + kZ * std::sqrt(1 + kZ * kZ / 4))).epsilon(1e-8));
    CHECK(rare.clopper_pearson.low == Approx(0.025317807984e-9).epsilon(1e-8));  // -log(0.975) / n
}

TEST_CASE(
    "the exact interval holds every share at least as often as stated and the other one about as often") {
    double wilson_least = 1, wilson_sum = 0;
    int looked_at = 0;
    for (int n = 1; n <= 40; ++n) {
        const std::vector<Rate> rates = all_rates(n);
        std::vector<double> shares{0.001, 0.01, 0.05, 0.1, 0.2,  0.3,  0.4,  0.5,
                                   0.6,   0.7,  0.8,  0.9, 0.95, 0.99, 0.999};
        // The coverage has its lows just beyond the ends.
        for (const Rate& rate : rates) {
            for (const double end : {rate.clopper_pearson.low, rate.clopper_pearson.high}) {
                for (const double near : {end - 1e-9, end + 1e-9})
                    if (near > 0 && near < 1) shares.push_back(near);
            }
        }
        for (const double share : shares) {
            INFO(share << " in " << n << " trials");
            CHECK(coverage(rates, share, kClopperPearson) >= 0.95 - 1e-9);
        }
        if (n < 10) continue;
        for (int i = 5; i <= 95; ++i) {
            const double covered = coverage(rates, i / 100.0, kWilson);
            wilson_least = std::min(wilson_least, covered);
            wilson_sum += covered;
            ++looked_at;
        }
    }
    // Agresti and Coull, Am. Stat. 52 (1998) 119-126: near the stated on average, at times below.
    CHECK(wilson_sum / looked_at == Approx(0.95).margin(0.01));
    CHECK(wilson_least < 0.93);
    CHECK(wilson_least > 0.80);
}

TEST_CASE("the number of further trials is the least one that reaches what is wanted") {
    struct Case {
        Count so_far;
        Outlook outlook;
        Aim aim;
        double figure;
    };
    for (const Case& now : {Case{{3, 3}, Outlook::all_happen, Aim::lower_end_at_least, 0.9},
                            Case{{5, 8}, Outlook::all_happen, Aim::lower_end_at_least, 0.8},
                            Case{{0, 0}, Outlook::all_happen, Aim::lower_end_at_least, 0.5},
                            Case{{18, 20}, Outlook::as_so_far, Aim::lower_end_at_least, 0.8},
                            Case{{18, 20}, Outlook::as_so_far, Aim::width_at_most, 0.1},
                            Case{{2, 4}, Outlook::as_so_far, Aim::width_at_most, 0.3},
                            Case{{0, 10}, Outlook::all_happen, Aim::width_at_most, 0.2}}) {
        INFO(now.so_far.happened << " of " << now.so_far.trials << " to " << now.figure);
        const auto found =
            further_trials(now.so_far, {0.95, Method::wilson, now.outlook, now.aim, now.figure, 5000});
        REQUIRE(found.ok());
        REQUIRE(found->found == FurtherTrials::Found::yes);
        // The plain interval, tried one by one.
        std::int64_t least = 0;
        for (;; ++least) {
            const double n = static_cast<double>(now.so_far.trials + least);
            if (n == 0) continue;
            const auto share_so_far =
                static_cast<double>(now.so_far.happened) / static_cast<double>(now.so_far.trials);
            const double k = now.outlook == Outlook::all_happen
                                 ? static_cast<double>(now.so_far.happened + least)
                                 : std::floor(share_so_far * n + 1e-9);
            const Interval plain = plain_wilson(k, n);
            if (now.aim == Aim::lower_end_at_least ? plain.low >= now.figure : plain.width() <= now.figure)
                break;
        }
        CHECK(found->further == least);
        CHECK(found->then.trials == now.so_far.trials + least);
        CHECK(found->interval == rate_of(found->then.happened, found->then.trials).wilson);
    }
}

TEST_CASE("where all trials went well so many more show a share as the exact interval says") {
    // Of n in n the lower end is (alpha/2)^(1/n): at least 0.9 from n = log(0.025) / log(0.9) = 35.01 on.
    const auto found = further_trials(
        {5, 5}, {0.95, Method::clopper_pearson, Outlook::all_happen, Aim::lower_end_at_least, 0.9, 100});
    REQUIRE(found.ok());
    CHECK(found->further == 31);
    CHECK(found->then == Count{36, 36});
    CHECK(found->interval.low == Approx(std::pow(0.025, 1.0 / 36)).epsilon(1e-12));
    // Wilson's is n / (n + z^2): from n = 9 z^2 = 34.57 on.
    CHECK(
        further_trials({5, 5}, {0.95, Method::wilson, Outlook::all_happen, Aim::lower_end_at_least, 0.9, 100})
            ->further == 30);
    // What is just reached is reached, and what is a hair more is not.
    const double reached = rate_of(36, 36).wilson.low;
    const auto further = [](double figure) {
        return further_trials(
                   {5, 5}, {0.95, Method::wilson, Outlook::all_happen, Aim::lower_end_at_least, figure, 100})
            ->further;
    };
    CHECK(further(reached) == 31);
    CHECK(further(std::nextafter(reached, 1)) == 32);
}

TEST_CASE(
    "a search for further trials says when it is there already and how far it looked and that it cannot "
    "begin") {
    using Found = FurtherTrials::Found;
    const auto search = [](Count so_far, Outlook outlook, double figure, std::int64_t limit) {
        return *further_trials(so_far,
                               {0.95, Method::wilson, outlook, Aim::lower_end_at_least, figure, limit});
    };
    CHECK(search({30, 30}, Outlook::all_happen, 0.88, 0).further == 0);
    CHECK(search({30, 30}, Outlook::all_happen, 0.88, 0).found == Found::yes);
    // 30 of 35 are needed from 5 of 5; one fewer than that is not enough.
    CHECK(search({5, 5}, Outlook::all_happen, 0.9, 30).found == Found::yes);
    CHECK(search({5, 5}, Outlook::all_happen, 0.9, 29).found == Found::none_within_limit);
    CHECK(search({5, 5}, Outlook::all_happen, 0.9, 29).limit == 29);
    // Half of the time never becomes nine times in ten.
    CHECK(search({5, 10}, Outlook::as_so_far, 0.9, 10'000).found == Found::none_within_limit);
    CHECK(search({0, 0}, Outlook::as_so_far, 0.5, 100).found == Found::nothing_to_go_on);
    CHECK(search({0, 0}, Outlook::all_happen, 0.5, 100).found == Found::yes);
}
