// Lengths of time as a setter writes and reads them.
#pragma once

#include <string>

#include "base/time.h"

namespace plumbmark::course::internal {

/// Whole seconds as a number, everything else with the decimals it has, to the nanosecond: "2", "0.5".
[[nodiscard]] std::string seconds_text(base::Duration length);
/// The same with its unit: "0.5 s".
[[nodiscard]] std::string seconds_words(base::Duration length);

}  // namespace plumbmark::course::internal
