// Exact time. Every instant is a whole number of nanoseconds; a frame's time is rounded down once, when the
// frame table is built, and used everywhere as that one integer, so that order on a clip is exact. Only
// durations that a rule states are ever rounded, and then outward. Times are never doubles.
#pragma once

#include <compare>
#include <cstdint>
#include <string>

#include "base/result.h"

namespace plumbmark::base {

/// A length of time in nanoseconds; may be negative.
struct Duration {
    std::int64_t ns = 0;
    friend auto operator<=>(Duration, Duration) = default;
    friend Duration operator+(Duration a, Duration b) { return {a.ns + b.ns}; }
    friend Duration operator-(Duration a, Duration b) { return {a.ns - b.ns}; }
    friend Duration operator-(Duration a) { return {-a.ns}; }
};

/// An instant on one clock (a clip's own clock, or the run's), in nanoseconds from that clock's zero.
struct Time {
    std::int64_t ns = 0;
    friend auto operator<=>(Time, Time) = default;
    friend Duration operator-(Time a, Time b) { return {a.ns - b.ns}; }
    friend Time operator+(Time a, Duration d) { return {a.ns + d.ns}; }
    friend Time operator-(Time a, Duration d) { return {a.ns - d.ns}; }
};

/// A fraction, as a time base (seconds per tick) or an exact time (seconds). The denominator is positive.
struct Rational {
    std::int64_t num = 0;
    std::int64_t den = 1;
    friend bool operator==(const Rational&, const Rational&) = default;
};

/// The fraction in lowest terms with a positive denominator. Stops the program when r.den is 0.
[[nodiscard]] Rational reduced(Rational r);

/// ticks * time_base as an exact fraction of a second in lowest terms. Stops the program when it overflows 64
/// bits.
[[nodiscard]] Rational exact_seconds(std::int64_t ticks, Rational time_base);

/// floor(ticks * time_base * 10^9): the one integer that stands for a frame's time. Computed in 128 bits; the
/// result must fit 64 bits (292 years), else the program stops. time_base.den > 0.
[[nodiscard]] Time floor_to_time(std::int64_t ticks, Rational time_base);

/// "0:18.317": minutes, seconds and milliseconds, rounded down to the millisecond; hours when there are any;
/// a minus sign for negative times.
[[nodiscard]] std::string clock_text(Time t);

/// "3.000 s" or "41 ms" below one second; rounded to the nearest millisecond, halves away from zero.
[[nodiscard]] std::string duration_text(Duration d);

/// A duration in decimal seconds as a course setter writes it ("2", "0.5", "1.25") as nanoseconds, exact. At
/// most nine decimals, no sign, no exponent. Error bad_input otherwise.
[[nodiscard]] Result<Duration> parse_seconds(const std::string& text);

}  // namespace plumbmark::base
