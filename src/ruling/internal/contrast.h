// What sets one world apart from another with a different outcome, in one sentence.
#pragma once

#include "ruling/internal/timeline.h"

namespace plumbmark::ruling {

/// Fills in the world's 'lead', 'condition' and 'sentence': "clear if the left foot touched the gantry deck
/// before the right foot touched the floor", "fail if the left foot touched the floor unseen between 0:05.100
/// and 0:05.133". 'other' may be null.
void contrast(const Inquiry& inquiry, std::size_t station, const Example& example, const Example* other,
              World& world);

/// "the hold of 3.000 s was complete", "the cap of 30.000 s ran out"; a deadline has no present.
[[nodiscard]] Told deadline_told(const Inquiry& inquiry, std::size_t station, Deadline deadline, Form form);

/// When this turn can have been, as an interval on its clip's clock; both ends allowed, so that the early one
/// is told a nanosecond early.
[[nodiscard]] Shown shown_at(const Placed& placed);

}  // namespace plumbmark::ruling
