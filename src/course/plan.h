// Where the things of a course stand. For drawings and measurements; no ruling looks at it. Right-handed axes
// in metres that the setter chooses: x and y level, z up; nothing says where their origin is.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "course/place.h"

namespace plumbmark::course {

/// x and y, in metres.
using PlanPoint = std::array<double, 2>;
/// x, y and z, in metres.
using SpacePoint = std::array<double, 3>;

/// Where a surface is: one of the two forms.
struct SurfacePlan {
    SurfaceId surface;
    std::vector<PlanPoint> outline;   ///< its corners seen from above, one after the other, without crossing
    double top = 0;                   ///< of an outline: the height at which it is stood on
    std::vector<SpacePoint> line;     ///< a bar, a rope, the edge of a plate: two points or more
    std::optional<double> tolerance;  ///< metres; none: the plan's
    Place place;
    friend bool operator==(const SurfacePlan&, const SurfacePlan&) = default;
};

/// A plane stands upright over this line.
struct PlanePlan {
    PlaneId plane;
    PlanPoint from{}, to{};
    PlanPoint past{};                 ///< any point beyond it: where somebody is who has passed it
    std::optional<double> tolerance;  ///< metres; none: the plan's
    Place place;
    friend bool operator==(const PlanePlan&, const PlanePlan&) = default;
};

/// Each surface and plane stands here once at most, in the order of the file.
struct Plan {
    std::optional<double> tolerance;  ///< metres by which a measure may be wrong; none: nobody has said
    std::vector<SurfacePlan> surfaces;
    std::vector<PlanePlan> planes;

    [[nodiscard]] bool empty() const { return !tolerance && surfaces.empty() && planes.empty(); }
    /// Null: the plan does not say where it is.
    [[nodiscard]] const SurfacePlan* find(SurfaceId surface) const;
    [[nodiscard]] const PlanePlan* find(PlaneId plane) const;
    friend bool operator==(const Plan&, const Plan&) = default;
};

}  // namespace plumbmark::course
