#include "sight/internal/bundle.h"

#include <algorithm>
#include <cmath>

#include "sight/internal/jet.h"
#include "sight/internal/project.h"

namespace plumbmark::sight {
namespace {

constexpr std::size_t kFocal = 6, kPrincipal = 7, kRadial = 9, kPlaces = CalibratedCamera::kOwn;
/// A measure without a tolerance is taken for exact to a micrometre, so that every place can be treated
/// alike.
constexpr double kExact = 1e-6;
/// Of a lens that nobody knows: its focal length may be a third of the picture's longer side or three times
/// it.
constexpr double kFocalSpread = 1.0;
constexpr double kMeasuredLeast = 1e-9;

using J = Jet<13>;  ///< turning, shift, focal length, principal point, k1, and the point

Vec3 three(const std::vector<double>& x, std::size_t at) {
    return {x[at], x[at + 1], x[at + 2]};
}

}  // namespace

Vec3 turned_on(Vec3 axis, Vec3 step) {
    return axis_of(turning(step) * turning(axis));
}

Bundle::Bundle(const Sightings& sightings) : sightings_(sightings) {
    for (const SeenPlace& one : sightings_.points)
        rows_.push_back({one.place, one.place, one.at, one.standard});
    for (const SeenEdge& edge : sightings_.edges)
        for (const Pixel& at : edge.at)
            rows_.push_back({edge.from, edge.to, at, edge.standard});
    seen_on_edges_ = rows_.size() - sightings_.points.size();
    seen_ = 2 * rows_.size();
    along_ = kPlaces + 3 * sightings_.places.size();
    const double longer = std::max(sightings_.width, sightings_.height);
    if (sightings_.knowledge == LensKnowledge::measured) {
        base_ = sightings_.lens;
        focal_middle_ = std::log(base_.fx);
        focal_spread_ = std::max(kMeasuredLeast, sightings_.lens_standard.focal);
        principal_spread_ = std::max(kMeasuredLeast * longer, sightings_.lens_standard.principal);
        k1_spread_ = std::max(kMeasuredLeast, sightings_.lens_standard.k1);
    } else {
        base_ = {sightings_.width, sightings_.height,      longer,
                 longer,           sightings_.width / 2.0, sightings_.height / 2.0};
        focal_middle_ = std::log(longer);
        focal_spread_ = kFocalSpread;
        principal_spread_ = kPrincipalStandard * longer;
        k1_spread_ =
            sightings_.knowledge == LensKnowledge::focal_length ? kRadialStandard : kFreeRadialStandard;
    }
}

int Bundle::redundancy() const {
    // The prior rows and the unknowns that they are about cancel out, but for the six of the pose, the focal
    // length where nothing is known of it, and a radial distortion that is looked for.
    int looked_for = 6;
    if (sightings_.knowledge != LensKnowledge::measured) looked_for += 1;
    if (sightings_.knowledge == LensKnowledge::focal_and_radial) looked_for += 1;
    return static_cast<int>(seen_ - seen_on_edges_) - looked_for;
}

Problem Bundle::problem() const {
    Problem problem;
    problem.unknowns = static_cast<int>(unknowns());
    problem.equations = static_cast<int>(seen_ + 4 + 3 * sightings_.places.size());
    problem.residuals = [this](const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) {
        return residuals(x, out, jacobian);
    };
    problem.move = [](std::vector<double>& x, const std::vector<double>& step) {
        const Vec3 axis = turned_on(three(x, 0), three(step, 0));
        for (std::size_t i = 0; i < x.size(); ++i)
            x[i] += step[i];
        x[0] = axis.x;
        x[1] = axis.y;
        x[2] = axis.z;
    };
    return problem;
}

std::vector<double> Bundle::begin(const Pose& pose, double focal) const {
    std::vector<double> x(unknowns());
    const Vec3 axis = axis_of(pose.turn);
    const double own[]{axis.x,       axis.y,          axis.z,   pose.shift.x, pose.shift.y,
                       pose.shift.z, std::log(focal), base_.cx, base_.cy,     base_.k1};
    std::copy(std::begin(own), std::end(own), x.begin());
    for (std::size_t i = 0; i < sightings_.places.size(); ++i) {
        const Vec3 at = sightings_.places[i].at;
        x[kPlaces + 3 * i] = at.x;
        x[kPlaces + 3 * i + 1] = at.y;
        x[kPlaces + 3 * i + 2] = at.z;
    }
    // Each point of an edge begins where the edge, as it would be seen, comes closest to it.
    const Camera at = camera(x);
    for (std::size_t e = 0; e < seen_on_edges_; ++e) {
        const Row& row = rows_[sightings_.points.size() + e];
        const Vec3 from = place(x, row.from), to = place(x, row.to);
        double best = 0.5, least = 1e300;
        for (int k = -4; k <= 24; ++k) {
            const double along = k / 20.0;
            const auto seen = project(at, from + along * (to - from));
            const double off = seen ? std::hypot(seen->x - row.at.x, seen->y - row.at.y) : 1e300;
            if (off < least) least = off, best = along;
        }
        x[along_ + e] = best;
    }
    return x;
}

Camera Bundle::camera(const std::vector<double>& x) const {
    Camera camera{base_, {turning(three(x, 0)), three(x, 3)}};
    const double grown = std::exp(x[kFocal]) / base_.fx;
    camera.lens.fx *= grown;
    camera.lens.fy *= grown;
    camera.lens.cx = x[kPrincipal];
    camera.lens.cy = x[kPrincipal + 1];
    camera.lens.k1 = x[kRadial];
    return camera;
}

Vec3 Bundle::place(const std::vector<double>& x, std::size_t place) const {
    return three(x, kPlaces + 3 * place);
}

bool Bundle::picture_rows(const std::vector<double>& x, std::size_t n, std::vector<double>& out,
                          Dense* jacobian) const {
    const Row& row = rows_[n];
    const bool on_edge = n >= sightings_.points.size();
    const std::size_t along_at = along_ + n - sightings_.points.size();
    const double along = on_edge ? x[along_at] : 0;
    const Vec3 from = place(x, row.from), to = place(x, row.to);
    const Vec3 point = from + along * (to - from);
    const Mat3 turn = turning(three(x, 0));
    const std::array<J, 3> world{J::of(point.x, 10), J::of(point.y, 11), J::of(point.z, 12)};
    std::array<J, 3> turned;
    for (std::size_t i = 0; i < 3; ++i)
        turned[i] = J(turn[i][0]) * world[0] + J(turn[i][1]) * world[1] + J(turn[i][2]) * world[2];
    const J wx = J::of(0, 0), wy = J::of(0, 1), wz = J::of(0, 2);
    const std::array<J, 3> ahead{turned[0] + wy * turned[2] - wz * turned[1] + J::of(x[3], 3),
                                 turned[1] + wz * turned[0] - wx * turned[2] + J::of(x[4], 4),
                                 turned[2] + wx * turned[1] - wy * turned[0] + J::of(x[5], 5)};
    if (!(ahead[2].value > 1e-3)) return false;
    J fx = J::of(std::exp(x[kFocal]), 6);
    fx.by[6] = fx.value;  // by its logarithm
    const J fy = fx * J(base_.fy / base_.fx);
    const LensNumbers<J> lens{fx,
                              fy,
                              J::of(x[kPrincipal], 7),
                              J::of(x[kPrincipal + 1], 8),
                              J(base_.skew),
                              J::of(x[kRadial], 9),
                              J(base_.k2),
                              J(base_.p1),
                              J(base_.p2),
                              J(base_.k3)};
    const auto seen = seen_at<J>(lens, ahead);
    const double wrong[]{seen[0].value - row.at.x, seen[1].value - row.at.y};
    for (std::size_t i = 0; i < 2; ++i) {
        out[2 * n + i] = wrong[i] / row.standard;
        if (jacobian == nullptr) continue;
        const int r = static_cast<int>(2 * n + i);
        const std::array<double, 13>& by = seen[i].by;
        for (std::size_t c = 0; c < kPlaces; ++c)
            jacobian->at(r, static_cast<int>(c)) = by[c] / row.standard;
        const double along_edge[]{to.x - from.x, to.y - from.y, to.z - from.z};
        for (std::size_t c = 0; c < 3; ++c) {
            const double slope = by[10 + c] / row.standard;
            jacobian->at(r, static_cast<int>(kPlaces + 3 * row.from + c)) += (1 - along) * slope;
            if (!on_edge) continue;
            jacobian->at(r, static_cast<int>(kPlaces + 3 * row.to + c)) += along * slope;
            jacobian->at(r, static_cast<int>(along_at)) += along_edge[c] * slope;
        }
    }
    return true;
}

void Bundle::prior_rows(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) const {
    std::size_t row = seen_;
    const auto hold = [&](std::size_t unknown, double middle, double standard) {
        out[row] = (x[unknown] - middle) / standard;
        if (jacobian != nullptr)
            jacobian->at(static_cast<int>(row), static_cast<int>(unknown)) = 1 / standard;
        ++row;
    };
    hold(kFocal, focal_middle_, focal_spread_);
    hold(kPrincipal, base_.cx, principal_spread_);
    hold(kPrincipal + 1, base_.cy, principal_spread_);
    hold(kRadial, base_.k1, k1_spread_);
    for (std::size_t i = 0; i < sightings_.places.size(); ++i) {
        const KnownPlace& place = sightings_.places[i];
        // Surely within the tolerance, nothing said of where (JCGM 100:2008, 4.3.7).
        const double standard = std::max(kExact, place.tolerance / std::sqrt(3.0));
        hold(kPlaces + 3 * i, place.at.x, standard);
        hold(kPlaces + 3 * i + 1, place.at.y, standard);
        hold(kPlaces + 3 * i + 2, place.at.z, standard);
    }
}

bool Bundle::residuals(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) const {
    for (const double value : x)
        if (!std::isfinite(value)) return false;
    for (std::size_t n = 0; n < rows_.size(); ++n)
        if (!picture_rows(x, n, out, jacobian)) return false;
    prior_rows(x, out, jacobian);
    return true;
}

}  // namespace plumbmark::sight
