#include "sight/measure.h"

#include <algorithm>
#include <cmath>

#include "base/worded.h"
#include "sight/internal/basis.h"
#include "sight/internal/dlt.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Error;
using base::Result;
using base::worded;

Result<void> look_over(const Pointing& pointing) {
    const double sum = pointing.at.x + pointing.at.y + pointing.along.x + pointing.along.y;
    if (!std::isfinite(sum) || !(pointing.standard > 0))
        return refused(worded("The point's numbers are none."));
    return {};
}

Distance distance_of(const Weighed& weighed, double angle) {
    return {weighed.best,        weighed.standard,      weighed.by_pointing,
            weighed.by_standing, weighed.likely,        weighed.sure,
            weighed.by_draws,    side_of(weighed.sure), angle};
}

Position position_of(const FirstOrder& law) {
    Position out{{law.values[0], law.values[1], law.values[2]}, {}};
    const std::size_t results = law.values.size();
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            out.covariance[i][j] = law.covariance[i * results + j];
    return out;
}

std::vector<double> values_of(const Quantities& quantities) {
    std::vector<double> out;
    for (const Quantity& one : quantities.each)
        out.push_back(one.value);
    return out;
}

/// Which stretch of a ray lies within a slab, as lengths of the ray; nothing of a ray that misses it.
bool narrow(Span& stretch, double start, double step, double low, double high) {
    if (std::abs(step) < 1e-12) return start >= low && start <= high;
    const double one = (low - start) / step, other = (high - start) / step;
    stretch.low = std::max(stretch.low, std::min(one, other));
    stretch.high = std::min(stretch.high, std::max(one, other));
    return stretch.low <= stretch.high;
}

/// Beyond this nobody is measured, metres.
constexpr double kFarthest = 1000;

}  // namespace

std::optional<Span> stretch_within(const Ray& sight, const LaidPlane::Laid& plane, const Space& space) {
    Span stretch{0, kFarthest};
    const double along = dot(sight.start - plane.start, plane.ahead), by = dot(sight.direction, plane.ahead);
    if (!narrow(stretch, sight.start.z, sight.direction.z, space.lowest, space.highest) ||
        !narrow(stretch, along, by, space.along_from, space.along_to))
        return std::nullopt;
    return stretch;
}

Result<OnLevel> on_level(const CalibratedCamera& camera, const Pointing& pointing, const Level& level,
                         const UprightPlane* plane) {
    if (auto good = look_over(pointing); !good) return good.error();
    if (auto good = look_over(level, camera); !good) return good.error();
    Basis basis({&camera});
    const std::size_t pixel = basis.point(pointing);
    const LaidLevel surface(level, basis);
    std::optional<LaidPlane> over;
    if (plane != nullptr) {
        if (auto good = look_over(*plane, camera); !good) return good.error();
        over.emplace(*plane, basis);
    }
    const Model model = [&](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        const auto sight = ray_through(basis.camera(0, x), basis.pixel(pixel, x));
        if (!sight || !(std::abs(sight->direction.z) > 1e-9)) return std::nullopt;
        const double reach = (surface.height(basis, x) - sight->start.z) / sight->direction.z;
        // It is seen from above, or it is not stood on.
        if (!(reach > 0) || !(reach < kFarthest) || !(sight->direction.z < 0)) return std::nullopt;
        const Vec3 at = sight->start + reach * sight->direction;
        std::vector<double> out{at.x, at.y, at.z};
        if (over) {
            const auto laid = over->laid(basis, x);
            if (!laid) return std::nullopt;
            out.push_back(past(*laid, at));
        }
        return out;
    };
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    if (over) pairs.emplace_back(3, 3);
    const auto found = propagate(model, basis, pairs);
    if (!found)
        return refused(
            worded("What was pointed at does not lie on the surface: the line of sight does not come down to "
                   "its height, or only far away. Point at where it is touched."));
    OnLevel out{position_of(found->law), {}};
    if (over) {
        const std::vector<double> x = values_of(basis.quantities());
        const auto sight = ray_through(camera.camera, pointing.at);
        out.distance = distance_of(found->each.front(), angle_to(*sight, *over->laid(basis, x)));
    }
    return out;
}

Result<Distance> in_the_air(const CalibratedCamera& camera, const Pointing& pointing,
                            const UprightPlane& plane, const Space& space) {
    if (auto good = look_over(pointing); !good) return good.error();
    if (auto good = look_over(plane, camera); !good) return good.error();
    if (!(space.lowest <= space.highest) || !(space.along_from <= space.along_to))
        return refused(worded("The space in which it can be has no extent."));
    Basis basis({&camera});
    const std::size_t pixel = basis.point(pointing);
    const LaidPlane over(plane, basis);
    const Model model = [&](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        const auto sight = ray_through(basis.camera(0, x), basis.pixel(pixel, x));
        const auto laid = over.laid(basis, x);
        if (!sight || !laid) return std::nullopt;
        const auto stretch = stretch_within(*sight, *laid, space);
        if (!stretch) return std::nullopt;
        const double one = past(*laid, sight->start + stretch->low * sight->direction);
        const double other = past(*laid, sight->start + stretch->high * sight->direction);
        return std::vector<double>{std::min(one, other), std::max(one, other)};
    };
    const auto found = propagate(model, basis, {{0, 1}});
    if (!found)
        return refused(worded(
            "What was pointed at is not in the space that was given: the line of sight passes it by, or "
            "only grazes it. Give other heights, or a longer part of the plane."));
    const auto sight = ray_through(camera.camera, pointing.at);
    const auto laid = over.laid(basis, values_of(basis.quantities()));
    return distance_of(found->each.front(), angle_to(*sight, *laid));
}

namespace {

/// How much a pointing's place may be off, as a covariance: of the hand, and of another moment.
std::array<double, 3> scatter(const Pointing& pointing) {
    const double own = pointing.standard * pointing.standard;
    const Pixel along = pointing.along;
    return {own + along.x * along.x / 3, along.x * along.y / 3, own + along.y * along.y / 3};
}

struct Look {
    Camera camera;
    Pixel at;
    std::array<double, 3> weight;  ///< inverse covariance: xx, xy, yy
};

std::array<double, 3> weight_of(const Pointing& pointing) {
    const auto [xx, xy, yy] = scatter(pointing);
    const double determinant = xx * yy - xy * xy;
    return {yy / determinant, -xy / determinant, xx / determinant};
}

/// A step of Gauss and Newton towards the point whose pictures lie nearest.
bool step_nearer(const std::array<Look, 2>& looks, Vec3& at) {
    double normal[3][3]{}, right[3]{};
    for (const Look& look : looks) {
        const auto here = project(look.camera, at);
        if (!here) return false;
        double by[2][3];
        for (std::size_t k = 0; k < 3; ++k) {
            Vec3 moved = at;
            const double step = 1e-5;
            (k == 0 ? moved.x : k == 1 ? moved.y : moved.z) += step;
            const auto there = project(look.camera, moved);
            if (!there) return false;
            by[0][k] = (there->x - here->x) / step;
            by[1][k] = (there->y - here->y) / step;
        }
        const double off[2]{look.at.x - here->x, look.at.y - here->y};
        const double w[2][2]{{look.weight[0], look.weight[1]}, {look.weight[1], look.weight[2]}};
        for (std::size_t a = 0; a < 2; ++a)
            for (std::size_t b = 0; b < 2; ++b)
                for (std::size_t k = 0; k < 3; ++k) {
                    right[k] += by[a][k] * w[a][b] * off[b];
                    for (std::size_t l = 0; l < 3; ++l)
                        normal[k][l] += by[a][k] * w[a][b] * by[b][l];
                }
    }
    const Vec3 r0{normal[0][0], normal[0][1], normal[0][2]}, r1{normal[1][0], normal[1][1], normal[1][2]},
        r2{normal[2][0], normal[2][1], normal[2][2]};
    const double determinant = dot(r0, cross(r1, r2));
    const double size = normal[0][0] * normal[1][1] * normal[2][2];
    if (!(std::abs(determinant) > 1e-13 * size)) return false;
    // The normal matrix is its own transpose, so its rows serve as its columns.
    const Vec3 r{right[0], right[1], right[2]};
    at = at + Vec3{dot(r, cross(r1, r2)) / determinant, dot(r0, cross(r, r2)) / determinant,
                   dot(r0, cross(r1, r)) / determinant};
    return std::isfinite(at.x + at.y + at.z);
}

std::optional<Vec3> nearest(const std::array<Look, 2>& looks, Vec3 at, int steps) {
    for (int i = 0; i < steps; ++i) {
        const Vec3 before = at;
        if (!step_nearer(looks, at)) return std::nullopt;
        if (length(at - before) < 1e-10) break;
    }
    return at;
}

double miss_of(const Ray& first, const Ray& second) {
    const Vec3 across = cross(first.direction, second.direction);
    const double sine = length(across);
    return sine > 1e-9 ? dot(second.start - first.start, across) / sine : 0;
}

/// A line of sight as a pixel of a camera whose focal length is 1.
Pixel direction_of(const Camera& camera, const Ray& sight) {
    const Vec3 own = camera.pose.turn * sight.direction;
    return {own.x / own.z, own.y / own.z};
}

Error no_meeting() {
    return refused(
        worded("The two lines of sight do not tell a place: they run nearly along each other, or would meet "
               "behind a camera. Take a camera that looks from another side, and see that both points are of "
               "the same thing."));
}

}  // namespace

Result<Meeting> seen_by_two(const CalibratedCamera& first, const Pointing& in_first,
                            const CalibratedCamera& second, const Pointing& in_second,
                            const UprightPlane* plane) {
    for (const Pointing* one : {&in_first, &in_second})
        if (auto good = look_over(*one); !good) return good.error();
    Basis basis({&first, &second});
    const std::size_t pixels[2]{basis.point(in_first), basis.point(in_second)};
    std::optional<LaidPlane> over;
    if (plane != nullptr) {
        if (auto good = look_over(*plane, first); !good) return good.error();
        over.emplace(*plane, basis);
    }
    const std::array<double, 3> weights[2]{weight_of(in_first), weight_of(in_second)};
    const auto sight_one = ray_through(first.camera, in_first.at),
               sight_two = ray_through(second.camera, in_second.at);
    if (!sight_one || !sight_two) return no_meeting();
    const auto linear = meeting_point(matrix_of(first.camera.pose), direction_of(first.camera, *sight_one),
                                      matrix_of(second.camera.pose), direction_of(second.camera, *sight_two));
    if (!linear) return no_meeting();
    const std::array<Look, 2> nominal{Look{first.camera, in_first.at, weights[0]},
                                      Look{second.camera, in_second.at, weights[1]}};
    const auto middle = nearest(nominal, *linear, 50);
    if (!middle) return no_meeting();
    const Model model = [&](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        std::array<Look, 2> looks;
        std::array<Ray, 2> rays;
        for (std::size_t i = 0; i < 2; ++i) {
            looks[i] = {basis.camera(i, x), basis.pixel(pixels[i], x), weights[i]};
            const auto sight = ray_through(looks[i].camera, looks[i].at);
            if (!sight) return std::nullopt;
            rays[i] = *sight;
        }
        const auto at = nearest(looks, *middle, 8);
        if (!at) return std::nullopt;
        std::vector<double> out{at->x, at->y, at->z, miss_of(rays[0], rays[1])};
        if (over) {
            const auto laid = over->laid(basis, x);
            if (!laid) return std::nullopt;
            out.push_back(past(*laid, *at));
        }
        return out;
    };
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    if (over) pairs.emplace_back(4, 4);
    const auto found = propagate(model, basis, pairs);
    if (!found) return no_meeting();
    Meeting out;
    out.position = position_of(found->law);
    out.parallax =
        std::acos(std::clamp(dot(sight_one->direction, sight_two->direction), -1.0, 1.0)) * kDegrees;
    out.miss = found->law.values[3];
    const double standard = found->law.standard(3);
    out.miss_normalised = standard > 0 ? std::abs(out.miss) / standard : 0;
    out.meets = out.miss_normalised < coverage_factor(kSure);
    if (over)
        out.distance = distance_of(found->each.front(),
                                   angle_to(*sight_one, *over->laid(basis, values_of(basis.quantities()))));
    return out;
}

}  // namespace plumbmark::sight
