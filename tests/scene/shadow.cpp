#include "shadow.h"

#include <algorithm>

namespace plumbmark::scene {
namespace {

constexpr Part kParts[] = {Part::other, Part::left_hand, Part::right_hand, Part::left_foot, Part::right_foot};

// How far a ray from p passes beside a round cone: clearance (negative: through it) and distance along the
// ray.
struct Pass {
    double clearance = 1e9, along = 0;
};
Pass pass_by(const Shape& s, Vec3 p, Vec3 way) {
    const Vec3 axis = s.b - s.a;
    const Vec3 from = p - s.a;
    const double aa = dot(axis, axis);
    const double aw = dot(axis, way);
    double u = 0;
    if (aa > 0) {
        const double denominator = aa - aw * aw;
        const double af = dot(axis, from);
        u = denominator > 1e-9 ? clamp((af - aw * dot(way, from)) / denominator, 0, 1) : 0.5;
    }
    const Vec3 on = s.a + axis * u;
    const double along = std::max(0.0, dot(on - p, way));
    return {length(on - p - way * along) - mix(s.ra, s.rb, u), along};
}

double distance_to(const Shape& s, Vec3 p) {
    const Vec3 axis = s.b - s.a;
    const double aa = dot(axis, axis);
    const double u = aa > 0 ? clamp(dot(p - s.a, axis) / aa, 0, 1) : 0;
    return length(p - s.a - axis * u) - mix(s.ra, s.rb, u);
}

}  // namespace

Caster::Caster(const Skeleton& skeleton) {
    for (const Part part : kParts)
        for (const Shape& s : contact_solids(skeleton, part))
            solids.push_back(s);
    Bounds around;
    for (const Shape& s : solids)
        around.include(bounds_of(s));
    middle = (around.low + around.high) * 0.5;
    radius = length(around.high - around.low) * 0.5;
}

bool Caster::may_shade(Vec3 p, const Lamp& lamp, double slack) const {
    const Vec3 way = lamp.at - p;
    const double distance = length(way);
    const double along = dot(middle - p, way) / distance;
    if (along < -radius || along > distance) return false;
    const double aside = length(middle - p - way * (along / distance));
    return aside < radius + slack + 0.1 * std::max(0.0, along);
}

double Caster::lamp_seen(Vec3 p, const Lamp& lamp, double skin) const {
    const Vec3 line = lamp.at - p;
    const double distance = length(line);
    const Vec3 way = line / distance;
    double seen = 1;
    for (const Shape& s : solids) {
        const Pass pass = pass_by(s, p, way);
        if (pass.along <= 0.01 || pass.along >= distance) continue;
        // The lamp's disc, seen from p through the body's distance.
        const double penumbra = lamp.radius * pass.along / distance + 0.002;
        if (pass.clearance > penumbra) continue;
        if (skin > 0 && distance_to(s, p) < skin) continue;
        seen = std::min(seen, smooth(-penumbra, penumbra, pass.clearance));
    }
    return seen;
}

double Caster::open(Vec3 p, Vec3 normal) const {
    double left = 1;
    for (const Shape& s : solids) {
        const Vec3 way = (s.a + s.b) * 0.5 - p;
        const double d2 = dot(way, way);
        if (d2 > 1.2) continue;
        const double facing = dot(normal, way);
        if (facing <= 0) continue;
        // A ball of the same silhouette: cosine over distance times its share of the sky.
        const double r2 = s.ra * s.ra + s.ra * length(s.b - s.a) * 0.6;
        left *= 1 - 0.85 * std::min(1.0, facing / std::sqrt(d2) * r2 / (d2 + 0.3 * r2));
    }
    return left;
}

}  // namespace plumbmark::scene
