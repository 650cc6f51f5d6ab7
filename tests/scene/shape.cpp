#include "shape.h"

#include <algorithm>

#include "base/check.h"

namespace plumbmark::scene {

Shape box(Vec3 low, Vec3 high) {
    return {Shape::Kind::box, low, high, 0, 0, {}};
}
Shape cylinder(Vec3 a, Vec3 b, double radius) {
    return {Shape::Kind::cylinder, a, b, radius, radius, {}};
}
Shape round_cone(Vec3 a, Vec3 b, double ra, double rb) {
    return {Shape::Kind::round_cone, a, b, ra, rb, {}};
}
Shape capsule(Vec3 a, Vec3 b, double radius) {
    return round_cone(a, b, radius, radius);
}
Shape ellipsoid(Vec3 centre, Vec3 half, const std::array<Vec3, 3>& frame) {
    return {Shape::Kind::ellipsoid, centre, half, 0, 0, frame};
}

namespace {

std::optional<Hit> hit_box(const Shape& s, const Ray& ray, double least) {
    double near = -1e30;
    double far = 1e30;
    int axis = 0;
    for (int i = 0; i < 3; ++i) {
        if (ray.along[i] == 0) {
            if (ray.from[i] < s.a[i] || ray.from[i] > s.b[i]) return {};
            continue;
        }
        double t0 = (s.a[i] - ray.from[i]) / ray.along[i];
        double t1 = (s.b[i] - ray.from[i]) / ray.along[i];
        if (t0 > t1) std::swap(t0, t1);
        if (t0 > near) {
            near = t0;
            axis = i;
        }
        far = std::min(far, t1);
    }
    if (near > far || near <= least) return {};
    Vec3 normal{0, 0, 0};
    normal[axis] = ray.along[axis] > 0 ? -1 : 1;
    return Hit{near, normal};
}

// After the closed form for a capped cylinder of any direction.
std::optional<Hit> hit_cylinder(const Shape& s, const Ray& ray, double least) {
    const Vec3 ba = s.b - s.a;
    const Vec3 oc = ray.from - s.a;
    const double baba = dot(ba, ba);
    const double bard = dot(ba, ray.along);
    const double baoc = dot(ba, oc);
    const double k2 = baba - bard * bard;
    const double k1 = baba * dot(oc, ray.along) - baoc * bard;
    const double k0 = baba * dot(oc, oc) - baoc * baoc - s.ra * s.ra * baba;
    if (k2 > 1e-12) {
        const double h = k1 * k1 - k2 * k0;
        if (h < 0) return {};
        const double root = std::sqrt(h);
        const double t = (-k1 - root) / k2;
        const double y = baoc + t * bard;
        if (y > 0 && y < baba) {
            if (t <= least) return {};
            return Hit{t, (oc + ray.along * t - ba * (y / baba)) / s.ra};
        }
    }
    if (bard == 0) return {};
    const bool low = bard > 0;
    const double t = ((low ? 0 : baba) - baoc) / bard;
    const Vec3 on = oc + ray.along * t - (low ? Vec3{} : ba);
    if (t <= least || dot(on, on) > s.ra * s.ra) return {};
    return Hit{t, unit(ba) * (low ? -1.0 : 1.0)};
}

std::optional<Hit> hit_ball(Vec3 centre, double radius, const Ray& ray, double least) {
    const Vec3 oc = ray.from - centre;
    const double b = dot(oc, ray.along);
    const double h = b * b - dot(oc, oc) + radius * radius;
    if (h < 0) return {};
    const double t = -b - std::sqrt(h);
    if (t <= least) return {};
    return Hit{t, (oc + ray.along * t) / radius};
}

std::optional<Hit> hit_round_cone(const Shape& s, const Ray& ray, double least) {
    const Vec3 ba = s.b - s.a;
    const Vec3 oa = ray.from - s.a;
    const double rr = s.ra - s.rb;
    const double m0 = dot(ba, ba);
    const double m1 = dot(ba, oa);
    const double m2 = dot(ba, ray.along);
    const double m3 = dot(ray.along, oa);
    const double m5 = dot(oa, oa);
    const double d2 = m0 - rr * rr;
    if (d2 > 1e-12) {
        const double k2 = d2 - m2 * m2;
        const double k1 = d2 * m3 - m1 * m2 + m2 * rr * s.ra;
        const double k0 = d2 * m5 - m1 * m1 + m1 * rr * s.ra * 2 - m0 * s.ra * s.ra;
        const double h = k1 * k1 - k0 * k2;
        if (h >= 0 && (k2 > 1e-12 || k2 < -1e-12)) {
            const double t = (-std::sqrt(h) - k1) / k2;
            const double y = m1 - s.ra * rr + t * m2;
            if (y > 0 && y < d2 && t > least) return Hit{t, unit((oa + ray.along * t) * d2 - ba * y)};
        }
    }
    const auto first = hit_ball(s.a, s.ra, ray, least);
    const auto second = hit_ball(s.b, s.rb, ray, least);
    if (!first) return second;
    if (!second) return first;
    return first->distance < second->distance ? first : second;
}

std::optional<Hit> hit_ellipsoid(const Shape& s, const Ray& ray, double least) {
    const auto into = [&](Vec3 v) {
        return Vec3{dot(v, s.frame[0]) / s.b.x, dot(v, s.frame[1]) / s.b.y, dot(v, s.frame[2]) / s.b.z};
    };
    const Vec3 o = into(ray.from - s.a);
    const Vec3 d = into(ray.along);
    const double a = dot(d, d);
    const double b = dot(o, d);
    const double h = b * b - a * (dot(o, o) - 1);
    if (h < 0) return {};
    const double t = (-b - std::sqrt(h)) / a;
    if (t <= least) return {};
    const Vec3 p = o + d * t;
    return Hit{t, unit(s.frame[0] * (p.x / s.b.x) + s.frame[1] * (p.y / s.b.y) + s.frame[2] * (p.z / s.b.z))};
}

double box_distance(const Shape& s, Vec3 p) {
    const Vec3 centre = (s.a + s.b) * 0.5;
    const Vec3 half = (s.b - s.a) * 0.5;
    const Vec3 q{std::fabs(p.x - centre.x) - half.x, std::fabs(p.y - centre.y) - half.y,
                 std::fabs(p.z - centre.z) - half.z};
    const Vec3 outside{std::max(q.x, 0.0), std::max(q.y, 0.0), std::max(q.z, 0.0)};
    return length(outside) + std::min(std::max(q.x, std::max(q.y, q.z)), 0.0);
}

double cylinder_distance(const Shape& s, Vec3 p) {
    const Vec3 axis = unit(s.b - s.a);
    const Vec3 from_middle = p - (s.a + s.b) * 0.5;
    const double along = dot(from_middle, axis);
    const double x = length(from_middle - axis * along) - s.ra;
    const double y = std::fabs(along) - length(s.b - s.a) * 0.5;
    const double ox = std::max(x, 0.0);
    const double oy = std::max(y, 0.0);
    return std::min(std::max(x, y), 0.0) + std::sqrt(ox * ox + oy * oy);
}

double capsule_distance(const Shape& s, Vec3 p) {
    const Vec3 ba = s.b - s.a;
    const double m = dot(ba, ba);
    const double u = m > 0 ? clamp(dot(p - s.a, ba) / m, 0, 1) : 0;
    return length(p - s.a - ba * u) - s.ra;
}

}  // namespace

std::optional<Hit> intersect(const Shape& shape, const Ray& ray, double least) {
    switch (shape.kind) {
        case Shape::Kind::box:
            return hit_box(shape, ray, least);
        case Shape::Kind::cylinder:
            return hit_cylinder(shape, ray, least);
        case Shape::Kind::round_cone:
            return hit_round_cone(shape, ray, least);
        case Shape::Kind::ellipsoid:
            return hit_ellipsoid(shape, ray, least);
    }
    return {};
}

double signed_distance(const Shape& shape, Vec3 p) {
    if (shape.kind == Shape::Kind::box) return box_distance(shape, p);
    if (shape.kind == Shape::Kind::cylinder) return cylinder_distance(shape, p);
    PLUMBMARK_CHECK(shape.kind == Shape::Kind::round_cone && shape.ra == shape.rb);
    return capsule_distance(shape, p);
}

void Bounds::include(Vec3 p) {
    for (int i = 0; i < 3; ++i) {
        low[i] = std::min(low[i], p[i]);
        high[i] = std::max(high[i], p[i]);
    }
}

void Bounds::include(const Bounds& other) {
    include(other.low);
    include(other.high);
}

Bounds bounds_of(const Shape& s) {
    Bounds out;
    const auto ball = [&](Vec3 c, double r) {
        out.include(c - Vec3{r, r, r});
        out.include(c + Vec3{r, r, r});
    };
    switch (s.kind) {
        case Shape::Kind::box:
            out.include(s.a);
            out.include(s.b);
            break;
        case Shape::Kind::ellipsoid:
            ball(s.a, std::max(s.b.x, std::max(s.b.y, s.b.z)));
            break;
        default:
            ball(s.a, s.ra);
            ball(s.b, s.rb);
            break;
    }
    return out;
}

std::vector<Vec3> hull_points(const Shape& s) {
    std::vector<Vec3> out;
    if (s.kind == Shape::Kind::box) {
        for (int i = 0; i < 8; ++i)
            out.push_back({i & 1 ? s.b.x : s.a.x, i & 2 ? s.b.y : s.a.y, i & 4 ? s.b.z : s.a.z});
        return out;
    }
    PLUMBMARK_CHECK(s.kind != Shape::Kind::ellipsoid);
    const Vec3 axis = unit(s.b - s.a);
    const Vec3 side = unit(cross(axis, std::fabs(axis.z) < 0.9 ? Vec3{0, 0, 1} : Vec3{1, 0, 0}));
    const Vec3 other = cross(axis, side);
    for (int i = 0; i < 16; ++i) {
        const Vec3 round = side * cosine(i * kPi / 8) + other * sine(i * kPi / 8);
        out.push_back(s.a + round * s.ra);
        out.push_back(s.b + round * s.rb);
    }
    return out;
}

}  // namespace plumbmark::scene
