#include "study/people.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <span>

#include "base/catalogue.h"
#include "base/check.h"
#include "base/worded.h"
#include "study/internal/monotone.h"

namespace plumbmark::study {
namespace {

using base::to_translate;
using base::worded;

constexpr Provenance kGrowth{
    to_translate("CDC growth charts 2000, stature for age"),
    to_translate("children and youths of the United States"),
    to_translate("5th, 50th and 95th percentile, joined by the LMS model"),
    to_translate("other countries; ages under 6 or over 20"),
};
constexpr Provenance kArmy{
    to_translate("ANSUR II 2012"),
    to_translate("soldiers of the United States: 4082 men, 1986 women"),
    to_translate("mean and standard deviation, taken as normal"),
    to_translate("children; other adults only roughly"),
};
constexpr Provenance kArmyReach{
    to_translate("ANSUR II 2012: stature less sitting height plus overhead reach sitting"),
    kArmy.people,
    kArmy.spread,
    kArmy.not_for,
};
constexpr Provenance kArmyMean{
    kArmy.source,
    kArmy.people,
    to_translate("no spread published"),
    kArmy.not_for,
};
constexpr Provenance kArmyHand{
    to_translate("ANSUR II 2012, less a share of the hand's length (after Pheasant)"),
    kArmy.people,
    kArmyMean.spread,
    kArmy.not_for,
};

// --- growing
// -------------------------------------------------------------------------------------------------

constexpr std::size_t kAges = 7;
constexpr std::array<double, kAges> kMonths{kFirstMonth, 96.5, 120.5, 144.5, 168.5, 192.5, kLastMonth};

/// Centimetres, as published.
struct Growth {
    std::array<double, kAges> p5, p50, p95;
};
constexpr Growth kBoys{{107.3, 118.8, 128.2, 137.3, 150.5, 160.8, 165.0},
                       {115.7, 128.1, 138.8, 149.3, 164.1, 173.6, 176.8},
                       {123.9, 137.8, 149.9, 161.9, 177.0, 185.5, 188.5}};
constexpr Growth kGirls{{106.9, 118.5, 127.5, 139.2, 149.7, 151.9, 152.7},
                        {115.0, 127.8, 138.2, 151.5, 160.5, 162.6, 163.3},
                        {123.9, 137.9, 149.6, 163.5, 171.3, 173.2, 174.0}};

Measure growing_stature(Sex sex, double months) {
    const Growth& table = sex == Sex::male ? kBoys : kGirls;
    const auto metres = [&](const std::array<double, kAges>& column) {
        return monotone_between(kMonths, column, months) / 100;
    };
    const Measure::Percentiles at{metres(table.p5), metres(table.p50), metres(table.p95)};
    const std::optional<Lms> spread = lms_through(at.p5, at.p50, at.p95);
    PLUMBMARK_CHECK(spread.has_value());
    bool listed = false;
    for (const double age : kMonths)
        listed = listed || age == months;
    return {*spread, at, !listed, &kGrowth};
}

// --- grown
// ---------------------------------------------------------------------------------------------------

/// Millimetres, as published.
struct Grown {
    Body body;
    Sex sex;
    double mean, standard;
    std::optional<Measure::Percentiles> percentiles;
};
constexpr Grown kGrown[]{
    {Body::stature, Sex::male, 1756.2, 68.6, Measure::Percentiles{1648, 1755, 1870}},
    {Body::span, Sex::male, 1814.2, 84.6, Measure::Percentiles{1680, 1812, 1957}},
    {Body::overhead_reach, Sex::male, 2264.6, 104.4, Measure::Percentiles{2097, 2263, 2438}},
    {Body::overhead_reach_sitting, Sex::male, 1426.7, 67.7, Measure::Percentiles{1316, 1426, 1540}},
    {Body::sitting_height, Sex::male, 918.3, 35.7, std::nullopt},
    {Body::stature, Sex::female, 1628.5, 64.2, Measure::Percentiles{1525, 1626, 1740}},
    {Body::span, Sex::female, 1660.3, 83.0, Measure::Percentiles{1529, 1657, 1803}},
    {Body::overhead_reach, Sex::female, 2081.6, 98.2, Measure::Percentiles{1926, 2078, 2253}},
    {Body::overhead_reach_sitting, Sex::female, 1309.7, 62.4, Measure::Percentiles{1207, 1309, 1413}},
    {Body::sitting_height, Sex::female, 856.6, 33.1, std::nullopt},
};

constexpr double kMillimetres = 1000;

const Grown& row_of(Body body, Sex sex) {
    for (const Grown& row : kGrown) {
        if (row.body == body && row.sex == sex) return row;
    }
    PLUMBMARK_CHECK(!"a measure without a row");
    return kGrown[0];
}

Measure grown(Body body, Sex sex) {
    const Grown& row = row_of(body, sex);
    Measure measure{lms_of_normal(row.mean / kMillimetres, row.standard / kMillimetres), std::nullopt, false,
                    body == Body::overhead_reach ? &kArmyReach : &kArmy};
    if (const auto& of = row.percentiles)
        measure.published =
            Measure::Percentiles{of->p5 / kMillimetres, of->p50 / kMillimetres, of->p95 / kMillimetres};
    return measure;
}

base::Error no_table(base::Sentence sentence) {
    return {base::Category::not_found, std::move(sentence), {}};
}

}  // namespace

Reached reached(const Percentile& percentile, double wanted) {
    if (wanted <= percentile.value - percentile.rounding) return Reached::rest_or_more;
    // What is counted has no digits left out: as many are reached.
    if (wanted > percentile.value + percentile.rounding) return Reached::fewer;
    return Reached::cannot_be_told;
}

double Measure::share_at_least(double metres) const {
    return 1 - lms_share_below(spread, metres);
}

base::Result<Measure> measure(Body body, Sex sex, double age_months) {
    const bool adult = age_months >= kAdultFrom && std::isfinite(age_months);
    if (body == Body::stature && age_months >= kFirstMonth && age_months <= kLastMonth)
        return growing_stature(sex, age_months);
    if (adult) return grown(body, sex);
    if (body == Body::stature)
        return no_table(worded("No table here tells the stature at {} months; they begin at {}.",
                               fmt::format("{}", age_months), fmt::format("{}", kFirstMonth)));
    return no_table(
        worded("No table here tells the span or reach of people under 18 years, and it does not follow "
               "from their stature: measure those who come."));
}

Mean mean_of(Part part, Sex sex) {
    const bool male = sex == Sex::male;
    switch (part) {
        case Part::crotch_height:
            return {male ? 0.8459 : 0.7823, &kArmyMean};
        case Part::hand_length:
            return {male ? 0.1933 : 0.1811, &kArmyMean};
        case Part::foot_length:
            return {male ? 0.2712 : 0.2463, &kArmyMean};
    }
    PLUMBMARK_CHECK(!"a part without a mean");
    return {};
}

Mean mean_overhead_reach(HandPoint point, Sex sex) {
    constexpr double kGripBeneath = 0.6;
    constexpr double kThumbAboveGrip = 0.2;
    const double fingertip = row_of(Body::overhead_reach, sex).mean / kMillimetres;
    const double hand = mean_of(Part::hand_length, sex).value;
    switch (point) {
        case HandPoint::fingertip:
            return {fingertip, &kArmyReach};
        case HandPoint::thumbtip:
            return {fingertip - (kGripBeneath - kThumbAboveGrip) * hand, &kArmyHand};
        case HandPoint::grip:
            return {fingertip - kGripBeneath * hand, &kArmyHand};
    }
    PLUMBMARK_CHECK(!"a point of no hand");
    return {};
}

}  // namespace plumbmark::study
