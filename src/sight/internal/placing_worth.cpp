#include "sight/internal/placing_worth.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "sight/internal/basis.h"
#include "sight/internal/jet.h"
#include "sight/internal/project.h"
#include "sight/uncertain.h"

namespace plumbmark::sight {
namespace {

using Results = std::optional<std::vector<double>>;

double coverage() {
    static const double z = coverage_factor(kLikely);
    return z;
}

/// Half of what lies between the lowest and the highest end of any result's interval. Of the two ends of a
/// depth each has its own interval; in which order they lie may change within it, as where the camera stands
/// in the plane, so that they are not sorted before.
std::optional<double> half_width(const Model& model, const Basis& basis) {
    const auto law = first_order(model, basis.quantities());
    if (!law) return std::nullopt;
    double low = 0, high = 0;
    for (std::size_t k = 0; k < law->values.size(); ++k) {
        const double half = coverage() * law->standard(k), value = law->values[k];
        low = k == 0 ? value - half : std::min(low, value - half);
        high = k == 0 ? value + half : std::max(high, value + half);
    }
    const double out = (high - low) / 2;
    return std::isfinite(out) ? std::optional(out) : std::nullopt;
}

/// Where a camera sees a point, and how fast that goes with the point's place.
struct Slopes {
    Pixel at;
    Vec3 x, y;  ///< pixels for a metre along each of the world's axes
};

std::optional<Slopes> slopes(const Camera& camera, Vec3 point) {
    using Three = Jet<3>;
    const auto seen = project(camera, point);
    if (!seen) return std::nullopt;
    const std::array<Three, 3> world{Three::of(point.x, 0), Three::of(point.y, 1), Three::of(point.z, 2)};
    const double shift[]{camera.pose.shift.x, camera.pose.shift.y, camera.pose.shift.z};
    std::array<Three, 3> own;
    for (std::size_t i = 0; i < 3; ++i) {
        own[i] = shift[i];
        for (std::size_t k = 0; k < 3; ++k)
            own[i] = own[i] + Three(camera.pose.turn[i][k]) * world[k];
    }
    LensNumbers<Three> lens;
    const LensNumbers<double> plain = numbers_of(camera.lens);
    for (std::size_t i = 0; i < plain.size(); ++i)
        lens[i] = plain[i];
    const auto [x, y] = seen_at<Three>(lens, own);
    return Slopes{*seen, {x.by[0], x.by[1], x.by[2]}, {y.by[0], y.by[1], y.by[2]}};
}

/// The four equations of a point in two pictures, solved once at the point itself: how far it goes for a
/// pixel of each.
std::optional<std::array<Vec3, 4>> solved(const std::array<Slopes, 2>& seen) {
    const Vec3 rows[]{seen[0].x, seen[0].y, seen[1].x, seen[1].y};
    Mat3 normal{};
    for (const Vec3& row : rows) {
        const double by[]{row.x, row.y, row.z};
        for (std::size_t i = 0; i < 3; ++i)
            for (std::size_t j = 0; j < 3; ++j)
                normal[i][j] += by[i] * by[j];
    }
    const Vec3 r0{normal[0][0], normal[0][1], normal[0][2]}, r1{normal[1][0], normal[1][1], normal[1][2]},
        r2{normal[2][0], normal[2][1], normal[2][2]};
    const double determinant = dot(r0, cross(r1, r2));
    if (!(determinant > 1e-13 * normal[0][0] * normal[1][1] * normal[2][2])) return std::nullopt;
    std::array<Vec3, 4> out;
    for (std::size_t k = 0; k < 4; ++k)
        out[k] = (1 / determinant) *
                 Vec3{dot(rows[k], cross(r1, r2)), dot(r0, cross(rows[k], r2)), dot(r0, cross(r1, rows[k]))};
    return out;
}

}  // namespace

std::optional<double> width_on_level(const PlacingPlan& plan, const CalibratedCamera& camera, Pixel at) {
    Basis basis({&camera});
    const std::size_t pixel = basis.point({at, plan.pointing, {}});
    const LaidLevel surface(plan.level, basis);
    const LaidPlane over(plan.plane, basis);
    const Model model = [&](const std::vector<double>& x) -> Results {
        const auto sight = ray_through(basis.camera(0, x), basis.pixel(pixel, x));
        const auto laid = over.laid(basis, x);
        if (!sight || !laid || !(sight->direction.z < -1e-9)) return std::nullopt;
        const double reach = (surface.height(basis, x) - sight->start.z) / sight->direction.z;
        if (!(reach > 0)) return std::nullopt;
        return std::vector<double>{past(*laid, sight->start + reach * sight->direction)};
    };
    return half_width(model, basis);
}

std::optional<double> width_in_air(const PlacingPlan& plan, const CalibratedCamera& camera, Pixel at) {
    Basis basis({&camera});
    const std::size_t pixel = basis.point({at, plan.pointing, {}});
    const LaidPlane over(plan.plane, basis);
    const Model model = [&](const std::vector<double>& x) -> Results {
        const auto sight = ray_through(basis.camera(0, x), basis.pixel(pixel, x));
        const auto laid = over.laid(basis, x);
        if (!sight || !laid) return std::nullopt;
        const auto stretch = stretch_within(*sight, *laid, plan.space);
        if (!stretch) return std::nullopt;
        return std::vector<double>{past(*laid, sight->start + stretch->low * sight->direction),
                                   past(*laid, sight->start + stretch->high * sight->direction)};
    };
    return half_width(model, basis);
}

std::optional<double> width_of_two(const PlacingPlan& plan, const CalibratedCamera& first,
                                   const CalibratedCamera& second, Vec3 point) {
    const auto in_first = slopes(first.camera, point), in_second = slopes(second.camera, point);
    if (!in_first || !in_second) return std::nullopt;
    const auto step = solved({*in_first, *in_second});
    if (!step) return std::nullopt;
    Basis basis({&first, &second});
    const std::size_t pixels[]{basis.point({in_first->at, plan.pointing, {}}),
                               basis.point({in_second->at, plan.pointing, {}})};
    const LaidPlane over(plan.plane, basis);
    // One step of Gauss and Newton from the point itself. Both lines of sight meet there, so that to first
    // order it leads where all steps would.
    const Model model = [&](const std::vector<double>& x) -> Results {
        const auto laid = over.laid(basis, x);
        if (!laid) return std::nullopt;
        Vec3 at = point;
        for (std::size_t i = 0; i < 2; ++i) {
            const auto there = project(basis.camera(i, x), point);
            if (!there) return std::nullopt;
            const Pixel pointed = basis.pixel(pixels[i], x);
            at = at + (pointed.x - there->x) * (*step)[2 * i] + (pointed.y - there->y) * (*step)[2 * i + 1];
        }
        return std::vector<double>{past(*laid, at)};
    };
    return half_width(model, basis);
}

}  // namespace plumbmark::sight
