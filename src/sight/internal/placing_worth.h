// Widths of what would be measured with a camera, or two, of a design.
#pragma once

#include <optional>

#include "sight/placing.h"

namespace plumbmark::sight {

/// Half width at kLikely of the distance that on_level() gives of a point on the level, by the law of
/// propagation alone; nothing where the line of sight does not come down to it.
[[nodiscard]] std::optional<double> width_on_level(const PlacingPlan& plan, const CalibratedCamera& camera,
                                                   Pixel at);

/// Of the range that in_the_air() gives; nothing where the line of sight only grazes the space.
[[nodiscard]] std::optional<double> width_in_air(const PlacingPlan& plan, const CalibratedCamera& camera,
                                                 Pixel at);

/// Of the distance that seen_by_two() gives of a point that is ahead of both; nothing where both lines of
/// sight run along each other.
[[nodiscard]] std::optional<double> width_of_two(const PlacingPlan& plan, const CalibratedCamera& first,
                                                 const CalibratedCamera& second, Vec3 point);

}  // namespace plumbmark::sight
