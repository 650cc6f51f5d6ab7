// The camera that most places agree on, whatever a few wrong ones say.
#pragma once

#include <cstddef>
#include <optional>
#include <stop_token>
#include <vector>

#include "sight/calibrate.h"

namespace plumbmark::sight {

/// A camera, and by it the points from the one that is furthest off to the one that is least.
struct Consensus {
    Camera camera;
    std::vector<std::size_t> furthest_first;  ///< indices of Sightings::points
};

/// By M. A. Fischler and R. C. Bolles ('Random sample consensus', Communications of the ACM 24(6), 1981) from
/// six points at a time, scored by truncated squares as P. H. S. Torr and A. Zisserman do ('MLESAC', CVIU 78,
/// 2000). The samples are the same on each call. Made for few wrong ones among fifteen points or more: where
/// two of fifteen are wrong, one sample in three has neither of them, and no sample of all has it about once
/// in 10^8. Nothing where no sample leads to a camera, and where 'stop' was asked for.
[[nodiscard]] std::optional<Consensus> consensus(const Sightings& sightings, const std::stop_token& stop);

}  // namespace plumbmark::sight
