// Where a mark stands on one clip.
#pragma once

#include <algorithm>

#include "meet/values.h"

namespace plumbmark::desk {

/// The mark's bracket on this clip; null where it has none there. Good as long as the mark.
[[nodiscard]] inline const meet::Sighting* sighting_on(const meet::Mark& mark, meet::ClipId clip) {
    const auto found = std::find_if(mark.sightings.begin(), mark.sightings.end(),
                                    [&](const meet::Sighting& sighting) { return sighting.clip == clip; });
    return found == mark.sightings.end() ? nullptr : &*found;
}

}  // namespace plumbmark::desk
