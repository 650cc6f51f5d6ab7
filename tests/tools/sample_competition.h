// The competition of the sample meet: divisions, a start list, calls and times from the floor, results that
// were announced, and appeals that wait. All names are invented.
#pragma once

#include <cstdint>

#include "base/result.h"
#include "review/session.h"

namespace plumbmark::sample {

/// Makes it around the runs that the session has by now; the session's current run does not matter. 'day_ms'
/// is the time of day at which the floor begins, in milliseconds since 1970.
[[nodiscard]] base::Result<void> hold_competition(review::Session& session, std::int64_t day_ms);

}  // namespace plumbmark::sample
