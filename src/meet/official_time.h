// Times as officials read, combine, round and write them. All in whole nanoseconds; nothing is ever a double.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"

namespace plumbmark::meet {

/// What becomes of digits beyond the unit that a meet gives its times in.
enum class Rounding : std::uint8_t {
    up,       ///< to the next longer unit, unless exact (athletics: IAAF rule 165)
    down,     ///< they are neither recorded nor used (swimming: FINA SW 11.2; skiing: FIS ICR 611.3.5)
    nearest,  ///< to the nearest unit, halves up
};

/// What two watches that differ give.
enum class TwoWatches : std::uint8_t {
    slower,  ///< the longer time (athletics)
    mean,    ///< the mean of the two (swimming: FINA SW 11.3)
};

/// The form in which a meet gives its times.
struct TimeForm {
    base::Duration unit{10'000'000};  ///< one of time_units()
    Rounding rounding = Rounding::up;
    TwoWatches two_watches = TwoWatches::slower;
    friend bool operator==(const TimeForm&, const TimeForm&) = default;
};

/// The units a meet may choose: 1 ms, 10 ms, 100 ms and 1 s.
[[nodiscard]] const std::vector<base::Duration>& time_units();

/// The time in whole units of the form. 'exact' is not negative.
[[nodiscard]] base::Duration rounded(base::Duration exact, const TimeForm& form);

/// The time that one, two or three watches of one run give, before rounding: two that agree outvote a third;
/// of three that all differ the middle one; of two that differ what form.two_watches says (a mean that falls
/// between two nanoseconds is the longer). Errors: bad_input for none or more than three.
[[nodiscard]] base::Result<base::Duration> combined(std::vector<base::Duration> watches,
                                                    const TimeForm& form);

/// "9.80", "1:14.29", "2:09:45": hours, minutes and seconds as far as there are any, with the decimals of the
/// unit, those below it cut off. 'time' is not negative.
[[nodiscard]] std::string time_text(base::Duration time, base::Duration unit);

/// What a person types or a list holds: "61.2", "1:01.20", "2:09:44.322"; a comma may stand for the point;
/// blanks around it do not matter. Minutes and seconds after a colon have one or two digits and are below 60;
/// at most nine decimals; below 100 hours. Error bad_input otherwise, naming the text.
[[nodiscard]] base::Result<base::Duration> read_time(std::string_view text);

}  // namespace plumbmark::meet
