// How long people are and how far they reach, as published, for who sets a course: which share of people
// could touch what hangs at a height.
//
// Nothing is made up: a measure without a table is refused, an age outside of one too, and a figure that was
// published without its spread says so. Reach and jump together need the spread of both and how they go
// together, which no source here has: there is no figure of it. All lengths are metres. Pure; any thread.
#pragma once

#include <optional>

#include "base/result.h"
#include "study/lms.h"

namespace plumbmark::study {

enum class Sex { female, male };  ///< as the sources divide people; they know no other

/// Where a figure comes from. English texts of the catalogue (base::to_translate).
struct Provenance {
    const char* source;
    const char* people;   ///< who was measured
    const char* spread;   ///< how the spread is known, or that it was not published
    const char* not_for;  ///< whom, or what, it does not serve
};

/// One published percentile.
struct Percentile {
    double share = 0.5;   ///< of people at or below
    double value = 0;     ///< its unit is said where it is given
    double rounding = 0;  ///< half of the last digit published; 0 of what is counted
    const Provenance* from = nullptr;
};

/// What one percentile says of the share of people who get at least as far as is wanted. No more can be said.
enum class Reached {
    rest_or_more,    ///< of a median: half of them or more
    fewer,           ///< than the rest: of a median, fewer than half
    cannot_be_told,  ///< the percentile as published is too coarse to say which
};
[[nodiscard]] Reached reached(const Percentile& percentile, double wanted);

/// A published mean whose spread is not known: no share can be told from it.
struct Mean {
    double value = 0;  ///< its unit is said where it is given
    const Provenance* from = nullptr;
};

/// A measure with its spread.
struct Measure {
    struct Percentiles {
        double p5 = 0, p50 = 0, p95 = 0;
    };
    Lms spread;  ///< the model; metres
    /// As published, or interpolated between such; nothing where none were. Beyond p5 and p95 a share is the
    /// model's word alone.
    std::optional<Percentiles> published;
    bool interpolated = false;  ///< between two ages of the table
    const Provenance* from = nullptr;

    /// The share of people who measure at least so much, metres > 0.
    [[nodiscard]] double share_at_least(double metres) const;
};

enum class Body {
    stature,
    span,                    ///< fingertip to fingertip, arms out
    overhead_reach,          ///< standing, fingertips
    overhead_reach_sitting,  ///< from the seat, fingertips
    sitting_height,          ///< from the seat
};

/// Ages of the tables, in months. Growth charts count the middle of a month: 120.5 is ten years old.
inline constexpr double kFirstMonth = 72.5;
inline constexpr double kLastMonth = 240;
inline constexpr double kAdultFrom = 216;  ///< 18 years

/// A measure of people of this sex and age.
///
/// Stature up to kLastMonth is of the CDC growth charts of 2000 (R. J. Kuczmarski and others, Vital Health
/// Stat. 11 (246), 2002): L, M and S through the 5th, 50th and 95th percentile at seven ages, two years apart
/// but for the last, which comes after four. In between the percentiles are interpolated, monotonically: left
/// out and interpolated over four years, the median at one of the ages 8 to 14 comes out up to 2.4 cm off,
/// and over two years it is less.
///
/// All else is of adults: ANSUR II 2012, mean and standard deviation taken as normal, which meets the
/// published 5th and 95th percentiles within a centimetre. Standing overhead reach is derived from it row by
/// row: stature less sitting height plus the reach sitting.
///
/// Errors: not_found where no table serves, as for the reach of children: none was found, and it does not
/// follow from their stature.
[[nodiscard]] base::Result<Measure> measure(Body body, Sex sex, double age_months);

enum class Part { crotch_height, hand_length, foot_length };
/// Of adults, ANSUR II; metres.
[[nodiscard]] Mean mean_of(Part part, Sex sex);

/// What of the hand is to get there: a bar wants to be gripped.
enum class HandPoint { fingertip, thumbtip, grip };
/// Mean standing overhead reach of adults; metres. The grip is about 0.6 hand lengths beneath the fingertips,
/// the thumb's tip 0.2 above the grip (after S. Pheasant).
[[nodiscard]] Mean mean_overhead_reach(HandPoint point, Sex sex);

}  // namespace plumbmark::study
