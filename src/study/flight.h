// Flight without drag, for who sets a course: how far, how high and how long a body flies that leaves at a
// speed and an angle, and how fast it has to leave.
//
// What flies is the centre of mass. Its range is not the distance from toe to heel: in a standing jump the
// centre is before the feet when they leave the ground and behind them when they land, by some tenths of a
// metre each that hang on the person. Nothing here adds them, and a gap must not be held against 'range'
// alone.
//
// Metres, seconds, metres a second, degrees above the level. Gravity is the caller's: 9.80 in school books,
// 9.80665 the standard value (3rd General Conference on Weights and Measures, 1901). Pure; any thread.
#pragma once

#include "base/result.h"
#include "study/interval.h"

namespace plumbmark::study {

inline constexpr double kStandardGravity = 9.80665;

struct Launch {
    double speed = 0;                   ///< > 0
    double angle = 0;                   ///< 0 to 90
    double drop = 0;                    ///< how much lower it lands than it left; negative: higher
    double gravity = kStandardGravity;  ///< > 0
};

struct Flight {
    double range = 0;          ///< level distance from launch to landing
    double rise = 0;           ///< of the highest point above the launch
    double rise_time = 0;      ///< until there
    double rise_distance = 0;  ///< level distance until there
    double time = 0;           ///< until the landing, on the way down
    double landing_speed = 0;
};

/// Errors: bad_input where a number is out of range; not_found where it never gets as high as the landing.
[[nodiscard]] base::Result<Flight> fly(const Launch& launch);

/// The same with inputs that are only known to lie between two ends, each by itself.
struct LaunchWithin {
    Interval speed, angle, drop, gravity;
};
struct FlightWithin {
    Interval range, rise, rise_time, time, landing_speed;
};
/// The least and the greatest of each figure over all launches within, each reached by one of them (but for
/// rounding): the figures move one way with each input, except the range with the angle, which has one
/// maximum where tan(angle) = speed / sqrt(speed^2 + 2 gravity drop). The ends of two figures may belong to
/// different launches. Errors: as 'fly', and where an end is below its beginning; not_found as soon as one
/// launch within does not get as high as the landing.
[[nodiscard]] base::Result<FlightWithin> fly_within(const LaunchWithin& launch);

/// The launch speed that reaches a landing this far away and 'drop' lower at this angle, on the way down.
/// range > 0, 0 <= angle < 90. Errors: bad_input where a number is out of range; not_found where no speed
/// does, or where it would still be rising there.
[[nodiscard]] base::Result<double> speed_for_range(double range, double angle, double drop, double gravity);

/// The launch speed that rises so much and is at the highest point still as fast as 'apex_speed': sqrt(apex^2
/// + 2 g rise). rise >= 0, apex_speed >= 0, gravity > 0; else bad_input.
[[nodiscard]] base::Result<double> speed_for_rise(double rise, double apex_speed, double gravity);
/// It grows with each of them.
[[nodiscard]] base::Result<Interval> speed_for_rise_within(const Interval& rise, const Interval& apex_speed,
                                                           const Interval& gravity);

}  // namespace plumbmark::study
