// The athlete's shadow: how much of a lamp, and of the surroundings, the body hides from a point.
#pragma once

#include <vector>

#include "course.h"
#include "motion.h"

namespace plumbmark::scene {

/// The body as round cones, for shadows.
struct Caster {
    std::vector<Shape> solids;
    Vec3 middle;
    double radius = 0;  ///< of a ball round all of it

    explicit Caster(const Skeleton& skeleton);
    /// Share of the lamp that the body leaves in sight from p, 0 to 1. Parts within 'skin' of p do not count.
    [[nodiscard]] double lamp_seen(Vec3 p, const Lamp& lamp, double skin) const;
    /// Share of the surroundings over a face that the body leaves open.
    [[nodiscard]] double open(Vec3 p, Vec3 normal) const;
    /// False when the body cannot shade p from the lamp.
    [[nodiscard]] bool may_shade(Vec3 p, const Lamp& lamp, double slack) const;
};

}  // namespace plumbmark::scene
