#include "contacts.h"

#include <algorithm>

namespace plumbmark::scene {
namespace {

constexpr Part kParts[] = {Part::left_hand, Part::right_hand, Part::left_foot, Part::right_foot, Part::other};

double halved(const std::function<double(double)>& gap, double low, double high, bool low_below) {
    while (high - low > 0.5e-9) {
        const double middle = (low + high) / 2;
        ((gap(middle) < 0) == low_below ? low : high) = middle;
    }
    return high;
}

}  // namespace

std::vector<Root> roots_of(const std::function<double(double)>& gap, double from, double to, double fastest) {
    std::vector<Root> out;
    double t = from;
    double d = gap(t);
    while (t < to) {
        const double next = std::min(to, t + std::max(kFinestStep, std::fabs(d) / fastest));
        const double e = gap(next);
        if ((d < 0) != (e < 0)) out.push_back({halved(gap, t, next, d < 0), e < 0});
        t = next;
        d = e;
    }
    return out;
}

namespace {

// The distance to a convex solid, less a radius that changes evenly, is a convex function along the limb's
// axis; its least value is found by golden sections.
Gap least_along(const Shape& limb, const Shape& solid) {
    const auto at = [&](double u) { return mix(limb.a, limb.b, u); };
    const auto value = [&](double u) { return signed_distance(solid, at(u)) - mix(limb.ra, limb.rb, u); };
    constexpr double kGolden = 0.61803398874989484820;
    double low = 0;
    double high = 1;
    double u = 1 - kGolden;
    double v = kGolden;
    double fu = value(u);
    double fv = value(v);
    for (int i = 0; i < 44; ++i) {
        if (fu <= fv) {
            high = v;
            v = u;
            fv = fu;
            u = high - kGolden * (high - low);
            fu = value(u);
        } else {
            low = u;
            u = v;
            fu = fv;
            v = low + kGolden * (high - low);
            fv = value(v);
        }
    }
    double best = (low + high) / 2;
    for (const double end : {0.0, 1.0})
        if (value(end) <= value(best)) best = end;
    const Vec3 axis = at(best);
    constexpr double kProbe = 1e-6;
    const auto slope = [&](Vec3 d) {
        return signed_distance(solid, axis + d * kProbe) - signed_distance(solid, axis - d * kProbe);
    };
    const Vec3 away = unit({slope({1, 0, 0}), slope({0, 1, 0}), slope({0, 0, 1})});
    return {value(best), axis - away * mix(limb.ra, limb.rb, best)};
}

double box_gap(const Bounds& a, const Bounds& b) {
    Vec3 apart;
    for (int i = 0; i < 3; ++i)
        apart[i] = std::max(0.0, std::max(a.low[i] - b.high[i], b.low[i] - a.high[i]));
    return length(apart);
}

}  // namespace

Gap gap_between(const std::vector<Shape>& limb, const std::vector<Shape>& surface) {
    Gap best{1e9, {}};
    for (const Shape& part : limb) {
        const Bounds around = bounds_of(part);
        for (const Shape& solid : surface) {
            const double apart = box_gap(around, bounds_of(solid));
            if (apart >= best.distance) continue;
            // Far away, the gap of the bounding boxes is bound enough.
            const Gap gap = apart > 0.15 ? Gap{apart, part.a} : least_along(part, solid);
            if (gap.distance < best.distance) best = gap;
        }
    }
    return best;
}

namespace {

struct Surface {
    std::string key;
    std::vector<Shape> shapes;  // empty for the hawser
};

std::vector<Surface> surfaces() {
    std::vector<Surface> out;
    for (const std::string& key : surface_keys())
        out.push_back({key, shapes_of(key)});
    return out;
}

Gap gap_at(const Choreography& run, const Surface& surface, Part part, double t) {
    const auto limb = contact_solids(skeleton_of(run.posture(t)), part);
    return surface.shapes.empty() ? gap_between(limb, {run.hawser.solid(t)})
                                  : gap_between(limb, surface.shapes);
}

}  // namespace

Contacts contacts_of(const Choreography& run, double from, double to) {
    Contacts out;
    for (const Surface& surface : surfaces()) {
        for (const Part part : kParts) {
            const auto gap = [&](double t) { return gap_at(run, surface, part, t).distance; };
            if (gap(from) < 0)
                out.standing.push_back(
                    {from, part, surface.key, true, gap_at(run, surface, part, from).point});
            for (const Root& root : roots_of(gap, from, to, part == Part::other ? kFastestJoint : kFastest))
                out.events.push_back(
                    {root.t, part, surface.key, root.into, gap_at(run, surface, part, root.t).point});
        }
    }
    std::stable_sort(out.events.begin(), out.events.end(),
                     [](const Contact& a, const Contact& b) { return a.t < b.t; });
    return out;
}

namespace {

// The last point of a part (or of everything) along x.
Vec3 last_point(const Choreography& run, std::optional<Part> part, double t) {
    const Skeleton skeleton = skeleton_of(run.posture(t));
    Vec3 last{1e9, 0, 0};
    for (const Part p : kParts) {
        if (part && *part != p) continue;
        for (const Shape& s : contact_solids(skeleton, p)) {
            if (s.a.x - s.ra < last.x) last = {s.a.x - s.ra, s.a.y, s.a.z};
            if (s.b.x - s.rb < last.x) last = {s.b.x - s.rb, s.b.y, s.b.z};
        }
    }
    return last;
}

}  // namespace

std::vector<Crossing> crossings_of(const Choreography& run, double from, double to) {
    std::vector<Crossing> out;
    std::vector<std::optional<Part>> who{std::nullopt};
    for (const Part part : kParts)
        if (part != Part::other) who.emplace_back(part);
    for (const CoursePlane& plane : planes()) {
        for (const auto& part : who) {
            // Before the plane the value is positive, so that a root 'into' is a crossing forward.
            const auto gap = [&](double t) { return plane.x - last_point(run, part, t).x; };
            for (const Root& root : roots_of(gap, from, to, part ? kFastest : kFastestJoint))
                out.push_back({root.t, part, plane.key, root.into, last_point(run, part, root.t)});
        }
    }
    std::stable_sort(out.begin(), out.end(), [](const Crossing& a, const Crossing& b) { return a.t < b.t; });
    return out;
}

std::vector<double> bell_strokes(const Choreography& run, double from, double to) {
    constexpr double kTravel = 0.003;
    const Surface plate{"bell_plate", shapes_of("bell_plate")};
    std::vector<double> out;
    for (const Part part : {Part::left_hand, Part::right_hand}) {
        const auto gap = [&](double t) { return gap_at(run, plate, part, t).distance + kTravel; };
        for (const Root& root : roots_of(gap, from, to))
            if (root.into) out.push_back(root.t);
    }
    std::sort(out.begin(), out.end());
    return out;
}

}  // namespace plumbmark::scene
