// What sets one world apart from another with a different outcome, in one sentence.
#pragma once

#include <string>

#include "ruling/internal/timeline.h"

namespace plumbmark::ruling {

/// "clear if the left foot touched the gantry deck before the right foot touched the floor", "fail if the
/// left foot touched the floor unseen between 0:05.100 and 0:05.133". 'other' may be null.
[[nodiscard]] std::string contrast(const Inquiry& inquiry, std::size_t station, const Example& example,
                                   const Example* other);

/// "the hold of 3.000 s was complete", "the cap of 30.000 s ran out".
[[nodiscard]] std::string deadline_words(const Inquiry& inquiry, std::size_t station, Deadline deadline);

/// When this turn can have been, as an interval on its clip's clock; both ends allowed, so that the early one
/// is told a nanosecond early.
[[nodiscard]] Shown shown_at(const Placed& placed);

}  // namespace plumbmark::ruling
