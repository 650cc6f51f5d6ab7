// The calibration that a camera would have somewhere, without calibrating.
#pragma once

#include <array>
#include <optional>

#include "sight/placing.h"

namespace plumbmark::sight {

/// The three points of the plane that are looked at: end 0, the middle, end 1; at this height.
[[nodiscard]] std::array<Vec3, 3> along_plane(const PlacingPlan& plan, double z);
/// Where the level is, by the plan.
[[nodiscard]] double level_of(const PlacingPlan& plan);
/// Where the picture holds a point.
[[nodiscard]] std::optional<Pixel> in_picture(const Camera& camera, Vec3 point);

struct Design {
    std::optional<CalibratedCamera> found;  ///< its residuals are left out
    Hindrance hindrance = Hindrance::none;  ///< where nothing is found
    int seen = 0;
};
/// Of a camera as aimed() puts it.
[[nodiscard]] Design design_of(const PlacingPlan& plan, const Camera& camera);

/// What calibrate() would be given there, pointed at without error.
[[nodiscard]] Sightings sightings_of(const PlacingPlan& plan, const Camera& camera);

}  // namespace plumbmark::sight
