#include "study/flight.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "base/worded.h"

namespace plumbmark::study {
namespace {

using base::worded;

constexpr double kRightAngle = 90;

base::Error bad_input(base::Sentence sentence) {
    return {base::Category::bad_input, std::move(sentence), {}};
}
base::Error not_found(base::Sentence sentence) {
    return {base::Category::not_found, std::move(sentence), {}};
}

bool positive(double value) {
    return value > 0 && std::isfinite(value);
}
bool not_negative(double value) {
    return value >= 0 && std::isfinite(value);
}

std::optional<base::Error> wrong(const Launch& launch) {
    if (!positive(launch.speed)) return bad_input(worded("The speed of a launch must be above 0."));
    if (!(launch.angle >= 0 && launch.angle <= kRightAngle))
        return bad_input(worded("The angle of a launch must be between 0 and 90 degrees."));
    if (!std::isfinite(launch.drop)) return bad_input(worded("The height of the landing is no number."));
    if (!positive(launch.gravity)) return bad_input(worded("Gravity must be above 0."));
    return std::nullopt;
}

struct Parts {
    double level, up;
};
/// Of a speed, exact at 90 degrees.
Parts parts_of(double speed, double angle) {
    const double radians = angle * std::numbers::pi / 180;
    return {angle == kRightAngle ? 0 : speed * std::cos(radians), speed * std::sin(radians)};
}

/// What is left of the upward speed when it lands, squared; negative where it never gets there.
double landing_square(const Launch& launch) {
    const double up = parts_of(launch.speed, launch.angle).up;
    return up * up + 2 * launch.gravity * launch.drop;
}

/// Of a launch that gets there.
Flight flown(const Launch& launch) {
    const auto [level, up] = parts_of(launch.speed, launch.angle);
    const double down = std::sqrt(landing_square(launch));
    Flight flight;
    flight.rise = up * up / (2 * launch.gravity);
    flight.rise_time = up / launch.gravity;
    flight.rise_distance = level * flight.rise_time;
    flight.time = (up + down) / launch.gravity;
    flight.range = level * flight.time;
    flight.landing_speed = std::hypot(level, down);
    return flight;
}

/// The angle of the longest range of a launch that gets there at this angle: see the header.
double best_angle(const Launch& launch) {
    const double square = launch.speed * launch.speed;
    return std::atan2(launch.speed, std::sqrt(square + 2 * launch.gravity * launch.drop)) * 180 /
           std::numbers::pi;
}

std::optional<base::Error> wrong_order(const LaunchWithin& launch) {
    for (const Interval& interval : {launch.speed, launch.angle, launch.drop, launch.gravity}) {
        if (!(interval.low <= interval.high))
            return bad_input(
                worded("The lower end of what a launch is known to lie within is above the upper."));
    }
    return std::nullopt;
}

}  // namespace

base::Result<Flight> fly(const Launch& launch) {
    if (const auto error = wrong(launch)) return *error;
    if (landing_square(launch) < 0)
        return not_found(worded("It does not rise as high as the landing. Launch it faster or steeper."));
    return flown(launch);
}

base::Result<FlightWithin> fly_within(const LaunchWithin& within) {
    if (const auto error = wrong_order(within)) return *error;
    const auto& [speed, angle, drop, gravity] = within;
    // The least and the greatest flight but for the angle's part in the range.
    const Launch least{speed.low, angle.low, drop.low, gravity.high};
    const Launch most{speed.high, angle.high, drop.high, gravity.low};
    for (const Launch& end : {least, most}) {
        if (const auto error = wrong(end)) return *error;
    }
    if (landing_square(least) < 0)
        return not_found(worded("Not all of these launches rise as high as the landing."));

    const auto at_angle = [](Launch launch, double degrees) {
        launch.angle = degrees;
        return flown(launch);
    };
    const auto landing_speed = [](double v, double g, double d) { return std::sqrt(v * v + 2 * g * d); };
    const Flight low = flown(least);
    const Flight high = flown(most);
    const double best = std::clamp(best_angle(most), angle.low, angle.high);
    FlightWithin result;
    result.range = {std::min(low.range, at_angle(least, angle.high).range), at_angle(most, best).range};
    result.rise = {low.rise, high.rise};
    result.rise_time = {low.rise_time, high.rise_time};
    result.time = {low.time, high.time};
    // Gravity makes a fall faster and a landing above slower.
    result.landing_speed = {landing_speed(speed.low, drop.low < 0 ? gravity.high : gravity.low, drop.low),
                            landing_speed(speed.high, drop.high < 0 ? gravity.low : gravity.high, drop.high)};
    return result;
}

base::Result<double> speed_for_range(double range, double angle, double drop, double gravity) {
    if (!positive(range)) return bad_input(worded("The range must be above 0."));
    if (const auto error = wrong({1, angle, drop, gravity})) return *error;
    if (angle == kRightAngle) return not_found(worded("At this angle no speed gets it there."));
    const double radians = angle * std::numbers::pi / 180;
    const double line = range * std::tan(radians);  // as high as it would be there without gravity
    if (!(line + drop > 0)) return not_found(worded("At this angle no speed gets it there."));
    if (!(line + 2 * drop >= 0))
        return not_found(
            worded("At this angle it would still be rising at the landing: take a steeper one."));
    return range / std::cos(radians) * std::sqrt(gravity / (2 * (line + drop)));
}

base::Result<double> speed_for_rise(double rise, double apex_speed, double gravity) {
    if (!not_negative(rise) || !not_negative(apex_speed))
        return bad_input(worded("A rise and the speed at its top must not be below 0."));
    if (!positive(gravity)) return bad_input(worded("Gravity must be above 0."));
    return std::sqrt(apex_speed * apex_speed + 2 * gravity * rise);
}

base::Result<Interval> speed_for_rise_within(const Interval& rise, const Interval& apex_speed,
                                             const Interval& gravity) {
    if (rise.low > rise.high || apex_speed.low > apex_speed.high || gravity.low > gravity.high)
        return bad_input(worded("The lower end of what a launch is known to lie within is above the upper."));
    const base::Result<double> low = speed_for_rise(rise.low, apex_speed.low, gravity.low);
    if (!low) return low.error();
    const base::Result<double> high = speed_for_rise(rise.high, apex_speed.high, gravity.high);
    if (!high) return high.error();
    return Interval{*low, *high};
}

}  // namespace plumbmark::study
