#include "meet/official_time.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "base/check.h"
#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::meet {
namespace {

constexpr std::int64_t kSecond = 1'000'000'000;
constexpr std::int64_t kMostHours = 100;

int decimals_of(base::Duration unit) {
    int decimals = 9;
    for (std::int64_t left = unit.ns; left % 10 == 0 && decimals > 0; left /= 10)
        --decimals;
    return decimals;
}

std::optional<std::int64_t> digits(std::string_view text, std::size_t most) {
    if (text.empty() || text.size() > most) return std::nullopt;
    std::int64_t value = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        value = value * 10 + (c - '0');
    }
    return value;
}

std::optional<std::int64_t> fraction(std::string_view decimals) {
    std::optional<std::int64_t> value = digits(decimals, 9);
    for (std::size_t i = decimals.size(); value && i < 9; ++i)
        *value *= 10;
    return value;
}

/// The whole seconds of "h:mm:ss", "m:ss" or "s". What stands first may be longer than the next unit.
std::optional<std::int64_t> whole_seconds(std::string_view text) {
    std::int64_t seconds = 0;
    for (int part = 0; part < 3; ++part) {
        const std::size_t colon = text.find(':');
        const std::optional<std::int64_t> value = digits(text.substr(0, colon), part == 0 ? 6 : 2);
        if (!value || (part > 0 && *value >= 60)) return std::nullopt;
        seconds = seconds * 60 + *value;
        if (colon == std::string_view::npos) return seconds;
        text.remove_prefix(colon + 1);
    }
    return std::nullopt;
}

}  // namespace

const std::vector<base::Duration>& time_units() {
    static const std::vector<base::Duration> kUnits{
        {kSecond / 1'000}, {kSecond / 100}, {kSecond / 10}, {kSecond}};
    return kUnits;
}

base::Duration rounded(base::Duration exact, const TimeForm& form) {
    PLUMBMARK_CHECK(exact.ns >= 0 && form.unit.ns > 0);
    const std::int64_t beyond = exact.ns % form.unit.ns;
    const base::Duration below{exact.ns - beyond};
    const bool longer = (form.rounding == Rounding::up && beyond > 0) ||
                        (form.rounding == Rounding::nearest && beyond >= form.unit.ns - beyond);
    return longer ? below + form.unit : below;
}

base::Result<base::Duration> combined(std::vector<base::Duration> watches, const TimeForm& form) {
    if (watches.empty() || watches.size() > 3)
        return base::Error{base::Category::bad_input, base::worded("One, two or three watches give a time."),
                           ""};
    std::sort(watches.begin(), watches.end());
    // The middle one of three is also the one that two of them agree on.
    if (watches.size() != 2) return watches[watches.size() / 2];
    if (form.two_watches == TwoWatches::slower) return watches[1];
    const std::int64_t apart = (watches[1] - watches[0]).ns;
    return watches[0] + base::Duration{apart / 2 + apart % 2};
}

std::string time_text(base::Duration time, base::Duration unit) {
    PLUMBMARK_CHECK(time.ns >= 0 && unit.ns > 0);
    const std::int64_t seconds = time.ns / kSecond;
    const int decimals = decimals_of(unit);
    const std::string below =
        decimals == 0 ? "" : "." + fmt::format("{:09}", time.ns % kSecond).substr(0, decimals);
    if (seconds < 60) return fmt::format("{}{}", seconds, below);
    if (seconds < 3'600) return fmt::format("{}:{:02}{}", seconds / 60, seconds % 60, below);
    return fmt::format("{}:{:02}:{:02}{}", seconds / 3'600, seconds / 60 % 60, seconds % 60, below);
}

base::Result<base::Duration> read_time(std::string_view text) {
    const std::string_view typed = base::trimmed(text);
    const std::size_t point = typed.find_first_of(".,");
    const std::optional<std::int64_t> seconds = whole_seconds(typed.substr(0, point));
    const std::optional<std::int64_t> beyond =
        point == std::string_view::npos ? 0 : fraction(typed.substr(point + 1));
    if (!seconds || !beyond || *seconds >= kMostHours * 3'600) {
        return base::Error{base::Category::bad_input,
                           base::worded("'{}' is not a time such as 61.20 or 1:01.20.", text), ""};
    }
    return base::Duration{*seconds * kSecond + *beyond};
}

}  // namespace plumbmark::meet
