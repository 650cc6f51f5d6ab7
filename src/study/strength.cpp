#include "study/strength.h"

#include <cstddef>
#include <span>

#include "base/catalogue.h"
#include "base/check.h"
#include "base/worded.h"

namespace plumbmark::study {
namespace {

using base::to_translate;
using base::worded;

constexpr const char* kNoSpread = to_translate("no spread published");

constexpr Provenance kBroadJump{
    to_translate("Research Quarterly for Exercise and Sport 86 (2015), Suppl. 1, S37-S44"),
    to_translate("2427 pupils in Hungary"),
    kNoSpread,
    to_translate("a run-up, a landing at another height, the range of the centre of mass"),
};
constexpr Provenance kSchool{
    to_translate("fitness survey of pupils, United States 1985"),
    to_translate("pupils of the United States"),
    kNoSpread,
    to_translate("hanging from straight arms, of which no norms were found"),
};
constexpr Provenance kGrip{
    to_translate("Leyk and others, Eur. J. Appl. Physiol. 99 (2007) 415-421"),
    to_translate("1654 men, 533 women and trained women of 20 to 25 years"),
    kNoSpread,
    to_translate("children; how long a grip is held"),
};
constexpr Provenance kBadge{
    to_translate("German sports badge, men"),
    to_translate("nobody was measured: it is what is asked for"),
    kNoSpread,
    to_translate("any share of people"),
};

/// A table of one percentile by whole years.
struct ByAge {
    int first;
    std::span<const double> values;
};

base::Result<Percentile> at_age(const ByAge& table, int years, Percentile like) {
    const int last = table.first + static_cast<int>(table.values.size()) - 1;
    if (years < table.first || years > last)
        return base::Error{
            base::Category::not_found,
            worded("The table has ages from {} to {} years, not {}.", table.first, last, years),
            {}};
    like.value = table.values[static_cast<std::size_t>(years - table.first)];
    return like;
}

}  // namespace

base::Result<Percentile> standing_broad_jump(Sex sex, int years) {
    static constexpr double kBoys[]{1.47, 1.62, 1.75, 1.86, 1.95, 2.02, 2.07, 2.10};
    static constexpr double kGirls[]{1.400, 1.439, 1.473, 1.500, 1.521, 1.537, 1.546, 1.550};
    return sex == Sex::male ? at_age({11, kBoys}, years, {0.5, 0, 0.005, &kBroadJump})
                            : at_age({11, kGirls}, years, {0.5, 0, 0.0005, &kBroadJump});
}

base::Result<Percentile> bent_arm_hang(Sex sex, int years) {
    static constexpr double kBoys[]{6, 8, 10, 10, 12, 11, 12, 14};
    static constexpr double kGirls[]{5, 6, 8, 8, 8, 7, 7, 8};
    return at_age({6, sex == Sex::male ? std::span<const double>(kBoys) : std::span<const double>(kGirls)},
                  years, {0.5, 0, 0.5, &kSchool});
}

base::Result<Percentile> pull_ups_of_boys(int years) {
    static constexpr double kPullUps[]{2, 4, 5, 5, 6, 6, 7, 7, 10, 11, 11, 13};
    return at_age({6, kPullUps}, years, {0.85, 0, 0, &kSchool});
}

Mean hand_grip(Gripping who) {
    switch (who) {
        case Gripping::men:
            return {541, &kGrip};
        case Gripping::women:
            return {329, &kGrip};
        case Gripping::trained_women:
            return {444, &kGrip};
    }
    PLUMBMARK_CHECK(!"nobody who grips");
    return {};
}

base::Result<Demand> badge_demand(BadgeJump jump, int years) {
    const bool far = jump == BadgeJump::running_long_jump;
    if (years == 40) return far ? Demand{3.90, 4.70, &kBadge} : Demand{1.20, 1.40, &kBadge};
    if (years == 60) return far ? Demand{3.20, 4.00, &kBadge} : Demand{0.95, 1.15, &kBadge};
    return base::Error{
        base::Category::not_found, worded("The badge's table here has ages 40 and 60, not {}.", years), {}};
}

}  // namespace plumbmark::study
