// Solids of the rendered world: what a ray hits, and how far a point is from the surface.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "vec.h"

namespace plumbmark::scene {

struct Ray {
    Vec3 from;
    Vec3 along;  ///< unit length
};

/// Where a ray enters a solid.
struct Hit {
    double distance = 0;
    Vec3 normal;  ///< outward, unit length
};

/// A box along the axes (a: lowest corner, b: highest), a flat-ended cylinder (axis a to b, radius ra), a
/// round cone (the hull of two balls: a with ra, b with rb; a capsule where the radii agree), or an ellipsoid
/// (centre a, half axes b along the unit vectors of 'frame').
struct Shape {
    enum class Kind { box, cylinder, round_cone, ellipsoid };
    Kind kind = Kind::box;
    Vec3 a;
    Vec3 b;
    double ra = 0;
    double rb = 0;
    std::array<Vec3, 3> frame{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};
};

[[nodiscard]] Shape box(Vec3 low, Vec3 high);
[[nodiscard]] Shape cylinder(Vec3 a, Vec3 b, double radius);
[[nodiscard]] Shape round_cone(Vec3 a, Vec3 b, double ra, double rb);
[[nodiscard]] Shape capsule(Vec3 a, Vec3 b, double radius);
[[nodiscard]] Shape ellipsoid(Vec3 centre, Vec3 half, const std::array<Vec3, 3>& frame);

/// The nearest point where the ray enters the solid, at a distance above 'least'; a ray that starts inside a
/// box or a cylinder does not hit it.
[[nodiscard]] std::optional<Hit> intersect(const Shape& shape, const Ray& ray, double least);

/// Signed distance in metres (negative inside), exact, of a box, a cylinder or a capsule; these are convex,
/// so the distance is a convex function of the point. Stops the program for other kinds.
[[nodiscard]] double signed_distance(const Shape& shape, Vec3 p);

/// A box along the axes that holds the solid.
struct Bounds {
    Vec3 low{1e30, 1e30, 1e30};
    Vec3 high{-1e30, -1e30, -1e30};
    void include(Vec3 p);
    void include(const Bounds& other);
};
[[nodiscard]] Bounds bounds_of(const Shape& shape);

/// Points whose convex hull holds the solid and touches it closely (corners of a box; rings round a rod).
[[nodiscard]] std::vector<Vec3> hull_points(const Shape& shape);

}  // namespace plumbmark::scene
