#include "sight.h"

#include <algorithm>

#include "world.h"

namespace plumbmark::scene {
namespace {

bool records(const View& view, double t) {
    const auto ticks = view.ticks();
    const auto ns = static_cast<std::int64_t>(t * 1e9);
    return ns > view.run_time(ticks.front()).ns && ns <= view.run_time(ticks.back()).ns;
}

bool in_picture(const Camera& camera, Vec3 p) {
    const auto at = project(camera, p);
    return at && at->x >= 0 && at->y >= 0 && at->x <= camera.width && at->y <= camera.height;
}

// Is the line from a point to the camera free of the world and of the body (a part of it left out)?
bool free_line(const Run& run, const View& view, double t, Vec3 from, std::optional<Part> own) {
    if (world().blocked(from, view.camera.at, 0.02)) return false;
    const double distance = length(view.camera.at - from);
    const Ray ray{from, (view.camera.at - from) / distance};
    for (const BodySolid& solid : body_of(skeleton_of(run.moves.posture(t)))) {
        if (own && solid.limb == *own) continue;
        const auto hit = intersect(solid.shape, ray, 0.03);
        if (hit && hit->distance < distance) return false;
    }
    return true;
}

}  // namespace

bool sees_point(const Run& run, const View& view, double t, Vec3 point) {
    return records(view, t) && in_picture(view.camera, point) && free_line(run, view, t, point, std::nullopt);
}

bool sees_contact(const Run& run, const View& view, const Contact& contact) {
    if (!records(view, contact.t)) return false;
    const auto solids = contact_solids(skeleton_of(run.moves.posture(contact.t)), contact.part);
    // The solid of the part that touches is the one whose skin is nearest to the point of contact.
    const Shape* limb = nullptr;
    double place = 0;
    double nearest = 1e9;
    for (const Shape& s : solids) {
        const Vec3 axis = s.b - s.a;
        const double u = dot(axis, axis) > 0 ? clamp(dot(contact.at - s.a, axis) / dot(axis, axis), 0, 1) : 0;
        const double off = std::fabs(length(contact.at - s.a - axis * u) - mix(s.ra, s.rb, u));
        if (off < nearest) {
            nearest = off;
            limb = &s;
            place = u;
        }
    }
    if (limb == nullptr) return false;
    const Vec3 axis = limb->b - limb->a;
    const double size = std::max(length(axis), 1e-6);
    int seen = 0;
    constexpr int kPoints = 7;
    for (int k = 0; k < kPoints; ++k) {
        const double u = clamp(place + (k - kPoints / 2) * 0.02 / size, 0, 1);
        const Vec3 on = limb->a + axis * u;
        const Vec3 to_camera = unit(view.camera.at - on);
        const Vec3 away = unit(to_camera - axis * (dot(to_camera, axis) / std::max(dot(axis, axis), 1e-12)));
        const Vec3 skin = on + away * mix(limb->ra, limb->rb, u);
        if (in_picture(view.camera, skin) && free_line(run, view, contact.t, skin, contact.part)) ++seen;
    }
    return 2 * seen >= kPoints;
}

namespace {

using Point = std::array<double, 2>;

double turn(Point o, Point a, Point b) {
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
}

// Convex hull (Andrew 1979).
Polygon hull_of(Polygon points) {
    std::sort(points.begin(), points.end());
    Polygon hull;
    for (int pass = 0; pass < 2; ++pass) {
        const std::size_t start = hull.size();
        for (const Point& p : points) {
            while (hull.size() >= start + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0)
                hull.pop_back();
            hull.push_back(p);
        }
        hull.pop_back();
        std::reverse(points.begin(), points.end());
    }
    return hull;
}

// Cuts a polygon at one edge of the picture (Sutherland & Hodgman 1974).
Polygon cut(const Polygon& in, int axis, double limit, bool keep_below) {
    Polygon out;
    const auto inside = [&](const Point& p) {
        const double v = p[static_cast<std::size_t>(axis)];
        return keep_below ? v <= limit : v >= limit;
    };
    for (std::size_t i = 0; i < in.size(); ++i) {
        const Point& a = in[i];
        const Point& b = in[(i + 1) % in.size()];
        if (inside(a)) out.push_back(a);
        if (inside(a) != inside(b)) {
            const auto k = static_cast<std::size_t>(axis);
            const double u = (limit - a[k]) / (b[k] - a[k]);
            out.push_back({mix(a[0], b[0], u), mix(a[1], b[1], u)});
        }
    }
    return out;
}

Polygon outline(const Camera& camera, const std::vector<Vec3>& points) {
    Polygon seen;
    for (const Vec3 p : points)
        if (const auto at = project(camera, p)) seen.push_back({at->x, at->y});
    if (seen.size() < 3 || seen.size() < points.size()) return {};
    Polygon hull = hull_of(seen);
    hull = cut(hull, 0, 0, false);
    hull = cut(hull, 0, camera.width, true);
    hull = cut(hull, 1, 0, false);
    hull = cut(hull, 1, camera.height, true);
    for (Point& p : hull)
        for (double& v : p)
            v = std::floor(v * 10 + 0.5) / 10;
    return hull.size() < 3 ? Polygon{} : hull;
}

}  // namespace

std::map<std::string, std::vector<Polygon>> outlines(const View& view) {
    std::map<std::string, std::vector<Polygon>> out;
    for (const std::string& key : surface_keys()) {
        std::vector<Polygon> all;
        const auto add = [&](const std::vector<Vec3>& points) {
            Polygon p = outline(view.camera, points);
            if (!p.empty()) all.push_back(std::move(p));
        };
        if (key == "floor") {
            // The floor reaches far out of the picture; what can be drawn is the course's own stretch of it.
            add({{-0.6, -1.6, 0}, {10.9, -1.6, 0}, {10.9, 1.6, 0}, {-0.6, 1.6, 0}});
        } else if (key == "hawser") {
            add(hull_points(Hawser{}.solid(0)));
        } else {
            for (const Shape& s : shapes_of(key))
                add(hull_points(s));
        }
        out[key] = std::move(all);
    }
    return out;
}

}  // namespace plumbmark::scene
