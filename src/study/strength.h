// How far people jump from standing, how long they hang and how hard they grip, as published. Most of it came
// without its spread: a median tells whether half of the people of that sex and age get as far, and nothing
// more (people.h, 'reached'). Pure; any thread.
#pragma once

#include "base/result.h"
#include "study/people.h"

namespace plumbmark::study {

/// Median standing broad jump at this age in whole years, 11 to 18; metres, from the toes to the heels. A
/// gap that is stepped to on the same height may be held against it; the range of the centre of mass
/// (flight.h) may not, since feet leave behind it and land before it. Errors: not_found at another age.
[[nodiscard]] base::Result<Percentile> standing_broad_jump(Sex sex, int years);

/// Median of hanging with bent arms, chin above the bar; seconds, age 6 to 13. Norms for hanging from
/// straight arms were not found, and this is no measure of it. Errors: not_found at another age.
[[nodiscard]] base::Result<Percentile> bent_arm_hang(Sex sex, int years);

/// Pull-ups of which 85 % of boys do no more, age 6 to 17. Errors: not_found at another age.
[[nodiscard]] base::Result<Percentile> pull_ups_of_boys(int years);

enum class Gripping { men, women, trained_women };
/// Mean of the hardest grip at 20 to 25 years; newtons. The same source: 90 % of the women grip less hard
/// than 95 % of the men.
[[nodiscard]] Mean hand_grip(Gripping who);

/// What a badge asks for: no measure of people, and no share follows from it.
struct Demand {
    double bronze = 0, gold = 0;  ///< metres
    const Provenance* from = nullptr;
};
enum class BadgeJump { running_long_jump, high_jump };
/// Of the German sports badge, men of 40 or 60 years. Errors: not_found at another age.
[[nodiscard]] base::Result<Demand> badge_demand(BadgeJump jump, int years);

}  // namespace plumbmark::study
