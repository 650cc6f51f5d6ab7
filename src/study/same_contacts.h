// Which events that two runs have in common are of one contact in both. Pure; deterministic.
#pragma once

#include <vector>

#include "study/compare.h"

namespace plumbmark::study {

/// Of the events that same_events gave, those that are of one contact in both runs. A leaving stays where the
/// touch before it, by the same limb on the same surface, is the one that is taken for the same, or where
/// neither run shows such a touch: else two hands that leave a rung in another order than they came would
/// pass for one that held on. What is no leaving stays. In their order.
[[nodiscard]] std::vector<SameEvent> of_same_contacts(const StudiedRun& a, const StudiedRun& b,
                                                      const std::vector<SameEvent>& same);

}  // namespace plumbmark::study
