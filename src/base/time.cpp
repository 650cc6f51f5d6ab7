#include "base/time.h"

#include <fmt/format.h>

#include <limits>
#include <numeric>

#include "base/worded.h"

namespace plumbmark::base {
namespace {

__extension__ typedef __int128 Wide;  // 128 bits are an extension of both compilers in use

constexpr std::int64_t kNanosecondsPerSecond = 1'000'000'000;

std::int64_t narrow(Wide value) {
    PLUMBMARK_CHECK(value >= std::numeric_limits<std::int64_t>::min() &&
                    value <= std::numeric_limits<std::int64_t>::max());
    return static_cast<std::int64_t>(value);
}

Wide greatest_common_divisor(Wide a, Wide b) {
    if (a < 0) a = -a;
    while (b != 0) {
        const Wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

Rational reduced_wide(Wide num, Wide den) {
    PLUMBMARK_CHECK(den != 0);
    if (den < 0) {
        num = -num;
        den = -den;
    }
    const Wide divisor = greatest_common_divisor(num, den);
    return {narrow(num / divisor), narrow(den / divisor)};
}

Wide floor_divide(Wide num, Wide den) {
    const Wide quotient = num / den;
    return num % den < 0 ? quotient - 1 : quotient;
}

}  // namespace

Rational reduced(Rational r) {
    return reduced_wide(r.num, r.den);
}

Rational exact_seconds(std::int64_t ticks, Rational time_base) {
    return reduced_wide(Wide{ticks} * time_base.num, time_base.den);
}

Time floor_to_time(std::int64_t ticks, Rational time_base) {
    PLUMBMARK_CHECK(time_base.den > 0);
    // Nearly every clip's times stay within 64 bits, where dividing is many times cheaper.
    std::int64_t scaled = 0;
    if (!__builtin_mul_overflow(ticks, time_base.num, &scaled) &&
        !__builtin_mul_overflow(scaled, kNanosecondsPerSecond, &scaled)) {
        const std::int64_t quotient = scaled / time_base.den;
        return {scaled % time_base.den < 0 ? quotient - 1 : quotient};
    }
    // Reduced first: ticks * num may need all 128 bits before the factor of 10^9.
    const Rational seconds = exact_seconds(ticks, time_base);
    return {narrow(floor_divide(Wide{seconds.num} * kNanosecondsPerSecond, seconds.den))};
}

std::string clock_text(Time t) {
    const Wide milliseconds = floor_divide(t.ns, 1'000'000);
    const bool negative = milliseconds < 0;
    const auto size = static_cast<std::int64_t>(negative ? -milliseconds : milliseconds);
    const std::int64_t hours = size / 3'600'000;
    const std::int64_t minutes = size / 60'000 % 60;
    const std::int64_t seconds = size / 1000 % 60;
    const char* sign = negative ? "-" : "";
    if (hours > 0) return fmt::format("{}{}:{:02}:{:02}.{:03}", sign, hours, minutes, seconds, size % 1000);
    return fmt::format("{}{}:{:02}.{:03}", sign, minutes, seconds, size % 1000);
}

std::string duration_text(Duration d) {
    const bool negative = d.ns < 0;
    const Wide size = negative ? -Wide{d.ns} : Wide{d.ns};
    const auto milliseconds = static_cast<std::int64_t>((size + 500'000) / 1'000'000);
    const char* sign = negative && milliseconds > 0 ? "-" : "";
    if (milliseconds < 1000) return fmt::format("{}{} ms", sign, milliseconds);
    return fmt::format("{}{}.{:03} s", sign, milliseconds / 1000, milliseconds % 1000);
}

Result<Duration> parse_seconds(const std::string& text) {
    const Error error{Category::bad_input,
                      worded("'{}' is not a length of time in seconds, such as 2 or 0.5", text), ""};
    const auto point = text.find('.');
    const std::string whole = text.substr(0, point);
    const std::string decimals = point == std::string::npos ? "" : text.substr(point + 1);
    const auto digits_only = [](const std::string& s) {
        return s.find_first_not_of("0123456789") == std::string::npos;
    };
    if (whole.empty() || whole.size() > 9 || !digits_only(whole)) return error;
    if (point != std::string::npos && (decimals.empty() || decimals.size() > 9 || !digits_only(decimals)))
        return error;
    std::int64_t fraction = 0;
    for (std::size_t i = 0; i < 9; ++i)
        fraction = fraction * 10 + (i < decimals.size() ? decimals[i] - '0' : 0);
    return Duration{std::stoll(whole) * kNanosecondsPerSecond + fraction};
}

}  // namespace plumbmark::base
