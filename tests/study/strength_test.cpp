// Jumps, hanging and grip against the published tables, and what one percentile can say.
#include "study/strength.h"

#include <catch2/catch.hpp>
#include <limits>
#include <string>

using namespace plumbmark;
using namespace plumbmark::study;

TEST_CASE("the standing broad jump has the published medians and no spread") {
    // Res. Q. Exerc. Sport 86 (2015), Suppl. 1, S37-S44: 2427 pupils in Hungary; centimetres at 11 to 18
    // years.
    const double boys[]{147, 162, 175, 186, 195, 202, 207, 210};
    const double girls[]{140.0, 143.9, 147.3, 150.0, 152.1, 153.7, 154.6, 155.0};
    for (int years = 11; years <= 18; ++years) {
        INFO(years);
        const auto boy = standing_broad_jump(Sex::male, years);
        const auto girl = standing_broad_jump(Sex::female, years);
        REQUIRE(boy.ok());
        REQUIRE(girl.ok());
        CHECK(100 * boy->value == Approx(boys[years - 11]).epsilon(1e-12));
        CHECK(100 * girl->value == Approx(girls[years - 11]).epsilon(1e-12));
        CHECK(boy->share == 0.5);
        CHECK(std::string(boy->from->spread) == "no spread published");
    }
    for (const int years : {-1, 10, 19, std::numeric_limits<int>::max()})
        CHECK(standing_broad_jump(Sex::male, years).error().category == base::Category::not_found);
    CHECK(standing_broad_jump(Sex::male, 10).error().text() ==
          "The table has ages from 11 to 18 years, not 10.");
}

TEST_CASE("of a median only half or more or fewer than half can be told and sometimes neither") {
    const Percentile boys = *standing_broad_jump(Sex::male, 14);  // 1.86 m, to a centimetre
    CHECK(reached(boys, 1.50) == Reached::rest_or_more);
    CHECK(reached(boys, 1.854) == Reached::rest_or_more);
    CHECK(reached(boys, 1.86) == Reached::cannot_be_told);
    CHECK(reached(boys, 1.864) == Reached::cannot_be_told);
    CHECK(reached(boys, 1.866) == Reached::fewer);
    // The girls' are given to a millimetre.
    const Percentile girls = *standing_broad_jump(Sex::female, 14);
    CHECK(reached(girls, 1.499) == Reached::rest_or_more);
    CHECK(reached(girls, 1.5004) == Reached::cannot_be_told);
    CHECK(reached(girls, 1.501) == Reached::fewer);
    // At the ends of what the digits leave open.
    CHECK(reached({0.5, 2, 0.25, nullptr}, 1.75) == Reached::rest_or_more);
    CHECK(reached({0.5, 2, 0.25, nullptr}, 2.25) == Reached::cannot_be_told);
    // What is counted has no digits left out.
    const Percentile pull_ups = *pull_ups_of_boys(8);
    CHECK(reached(pull_ups, 5) == Reached::rest_or_more);
    CHECK(reached(pull_ups, 6) == Reached::fewer);
}

TEST_CASE("hanging and pull-ups and grip have the published figures") {
    // Survey of the United States, 1985: medians in seconds at 6 to 13 years; 85th percentile of pull-ups at
    // 6 to 17.
    const double boys[]{6, 8, 10, 10, 12, 11, 12, 14};
    const double girls[]{5, 6, 8, 8, 8, 7, 7, 8};
    for (int years = 6; years <= 13; ++years) {
        INFO(years);
        CHECK(bent_arm_hang(Sex::male, years)->value == boys[years - 6]);
        CHECK(bent_arm_hang(Sex::female, years)->value == girls[years - 6]);
        CHECK(bent_arm_hang(Sex::female, years)->share == 0.5);
    }
    const double pull_ups[]{2, 4, 5, 5, 6, 6, 7, 7, 10, 11, 11, 13};
    for (int years = 6; years <= 17; ++years) {
        CHECK(pull_ups_of_boys(years)->value == pull_ups[years - 6]);
        CHECK(pull_ups_of_boys(years)->share == 0.85);
    }
    CHECK_FALSE(bent_arm_hang(Sex::male, 5).ok());
    CHECK_FALSE(bent_arm_hang(Sex::male, 14).ok());
    CHECK_FALSE(pull_ups_of_boys(5).ok());
    CHECK_FALSE(pull_ups_of_boys(18).ok());
    // Leyk and others 2007; newtons.
    CHECK(hand_grip(Gripping::men).value == 541);
    CHECK(hand_grip(Gripping::women).value == 329);
    CHECK(hand_grip(Gripping::trained_women).value == 444);
    CHECK(std::string(hand_grip(Gripping::men).from->spread) == "no spread published");
}

TEST_CASE("what the badge asks for is the published table and no measure of people") {
    // German sports badge, men; metres.
    CHECK(badge_demand(BadgeJump::running_long_jump, 40)->bronze == 3.90);
    CHECK(badge_demand(BadgeJump::running_long_jump, 40)->gold == 4.70);
    CHECK(badge_demand(BadgeJump::running_long_jump, 60)->bronze == 3.20);
    CHECK(badge_demand(BadgeJump::running_long_jump, 60)->gold == 4.00);
    CHECK(badge_demand(BadgeJump::high_jump, 40)->bronze == 1.20);
    CHECK(badge_demand(BadgeJump::high_jump, 40)->gold == 1.40);
    CHECK(badge_demand(BadgeJump::high_jump, 60)->bronze == 0.95);
    CHECK(badge_demand(BadgeJump::high_jump, 60)->gold == 1.15);
    CHECK(badge_demand(BadgeJump::high_jump, 50).error().category == base::Category::not_found);
    CHECK(std::string(badge_demand(BadgeJump::high_jump, 60)->from->people) ==
          "nobody was measured: it is what is asked for");
}
