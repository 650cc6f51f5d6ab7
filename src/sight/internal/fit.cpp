#include "sight/internal/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sight/internal/bundle.h"
#include "sight/internal/chi_square.h"
#include "sight/internal/limits.h"

namespace plumbmark::sight {
namespace {

/// Of the two equations of one point of a picture: how far they are off, over how far they may be, by the
/// covariance of residuals, which is what the pictures scatter less what the fit takes up of it (Baarda
/// 1968). 'left' is the smaller share of the scatter that the residual still shows: none where nothing checks
/// it.
struct Checked {
    double normalised = 0, left = 0;
};

Checked checked(const Settled& at, const Known& known, std::size_t n) {
    double taken[2][2]{};
    const int unknowns = at.jacobian.columns;
    for (int a = 0; a < 2; ++a) {
        const int row = static_cast<int>(2 * n) + a;
        std::vector<double> carried(static_cast<std::size_t>(unknowns));
        for (int i = 0; i < unknowns; ++i) {
            const double slope = at.jacobian.at(row, i);
            if (slope == 0) continue;
            for (int j = 0; j < unknowns; ++j)
                carried[static_cast<std::size_t>(j)] += slope * known.covariance.at(i, j);
        }
        for (int b = 0; b < 2; ++b)
            for (int j = 0; j < unknowns; ++j)
                taken[a][b] +=
                    carried[static_cast<std::size_t>(j)] * at.jacobian.at(static_cast<int>(2 * n) + b, j);
    }
    const double xx = 1 - taken[0][0], xy = -taken[0][1], yy = 1 - taken[1][1];
    const double middle = (xx + yy) / 2, spread = std::hypot((xx - yy) / 2, xy);
    Checked out;
    out.left = std::max(0.0, middle - spread);
    const double rx = at.residuals[2 * n], ry = at.residuals[2 * n + 1];
    const double determinant = xx * yy - xy * xy;
    // Where the fit follows one direction wholly, the other one alone is checked.
    if (determinant > 1e-6)
        out.normalised =
            std::sqrt(std::max(0.0, (yy * rx * rx - 2 * xy * rx * ry + xx * ry * ry) / determinant));
    else if (middle + spread > 1e-6)
        out.normalised = std::hypot(rx, ry) / std::sqrt(middle + spread);
    return out;
}

Residual residual_of(const Sightings& sightings, const Settled& at, std::size_t n, const Checked& check) {
    Residual out;
    const std::size_t points = sightings.points.size();
    double standard = 1;
    if (n < points) {
        out.name = sightings.places[sightings.points[n].place].name;
        out.seen = sightings.points[n].at;
        standard = sightings.points[n].standard;
    } else {
        std::size_t left = n - points;
        for (const SeenEdge& edge : sightings.edges) {
            if (left >= edge.at.size()) {
                left -= edge.at.size();
                continue;
            }
            out.name =
                fmt::format("{} - {}", sightings.places[edge.from].name, sightings.places[edge.to].name);
            out.seen = edge.at[left];
            standard = edge.standard;
            break;
        }
    }
    out.expected = {out.seen.x + at.residuals[2 * n] * standard,
                    out.seen.y + at.residuals[2 * n + 1] * standard};
    out.pixels = standard * std::hypot(at.residuals[2 * n], at.residuals[2 * n + 1]);
    out.normalised = check.normalised;
    return out;
}

Fit described(const Sightings& sightings, const Bundle& bundle, const Settled& at) {
    Fit fit;
    fit.sum = at.sum;
    fit.redundancy = bundle.redundancy();
    CalibratedCamera& found = fit.found;
    found.camera = bundle.camera(at.x);
    found.places = sightings.places;
    for (std::size_t i = 0; i < found.places.size(); ++i)
        found.places[i].at = bundle.place(at.x, i);
    const Known known = sight::known(at.jacobian);
    found.redundancy = fit.redundancy;
    found.strain = fit.redundancy > 0 ? at.sum / fit.redundancy : 0;
    const bool strained = fit.redundancy > 0 && at.sum > chi_square_quantile(1 - kRisk, fit.redundancy);
    const double by = strained ? found.strain : 1;
    const std::size_t kept = found.unknowns();
    found.covariance.resize(kept * kept);
    for (std::size_t i = 0; i < kept; ++i)
        for (std::size_t j = 0; j < kept; ++j)
            found.covariance[i * kept + j] =
                by * known.covariance.at(static_cast<int>(i), static_cast<int>(j));
    double squares = 0;
    found.can_tell = fit.redundancy >= 3;
    for (std::size_t n = 0; 2 * n < bundle.seen(); ++n) {
        const Checked check = checked(at, known, n);
        found.residuals.push_back(residual_of(sightings, at, n, check));
        squares += found.residuals.back().pixels * found.residuals.back().pixels;
        if (n < sightings.points.size() && check.left < 0.02) found.can_tell = false;
    }
    found.rms = std::sqrt(squares / std::max<double>(1, static_cast<double>(found.residuals.size())));
    return fit;
}

}  // namespace

Vec3 CalibratedCamera::centre_standard() const {
    // The centre is -R't. The turning is on the camera's side, R = exp(w) R0, so -R0' exp(-w) t moves by
    // R0' (w x t) - R0' dt: its derivatives are R0' times those of w x t - dt.
    const Mat3 back = transposed(camera.pose.turn);
    const Vec3 t = camera.pose.shift;
    const double by[3][6]{{0, t.z, -t.y, -1, 0, 0}, {-t.z, 0, t.x, 0, -1, 0}, {t.y, -t.x, 0, 0, 0, -1}};
    double standard[3]{};
    for (std::size_t k = 0; k < 3; ++k) {
        double slope[6]{};
        for (std::size_t i = 0; i < 6; ++i)
            for (std::size_t r = 0; r < 3; ++r)
                slope[i] += back[k][r] * by[r][i];
        double variance = 0;
        for (std::size_t i = 0; i < 6; ++i)
            for (std::size_t j = 0; j < 6; ++j)
                variance += slope[i] * covariance[i * unknowns() + j] * slope[j];
        standard[k] = std::sqrt(std::max(0.0, variance));
    }
    return {standard[0], standard[1], standard[2]};
}

double CalibratedCamera::focal_standard() const {
    return camera.lens.fx * std::sqrt(std::max(0.0, covariance[6 * unknowns() + 6]));
}

Camera moved(const Camera& camera, const double* own) {
    Camera out = camera;
    out.pose.turn = turning({own[0], own[1], own[2]}) * camera.pose.turn;
    out.pose.shift = camera.pose.shift + Vec3{own[3], own[4], own[5]};
    out.lens.fx *= std::exp(own[6]);
    out.lens.fy *= std::exp(own[6]);
    out.lens.cx += own[7];
    out.lens.cy += own[8];
    out.lens.k1 += own[9];
    return out;
}

std::vector<Fit> fit_all(const Sightings& sightings, const std::vector<Beginning>& beginnings,
                         const std::stop_token& stop) {
    const Bundle bundle(sightings);
    const Problem problem = bundle.problem();
    // A short way from each beginning; the whole way from those that lead somewhere.
    std::vector<Settled> begun;
    for (const Beginning& beginning : beginnings) {
        if (stop.stop_requested()) return {};
        Settled at = settle(problem, bundle.begin(beginning.pose, beginning.focal), 12);
        if (std::isfinite(at.sum)) begun.push_back(std::move(at));
    }
    std::sort(begun.begin(), begun.end(), [](const Settled& a, const Settled& b) { return a.sum < b.sum; });
    // Many beginnings lead the same way: six of one would crowd out a second way to stand.
    std::vector<Settled> ways;
    for (Settled& one : begun) {
        const Vec3 here = centre(bundle.camera(one.x));
        const bool known = std::any_of(ways.begin(), ways.end(), [&](const Settled& other) {
            const Vec3 there = centre(bundle.camera(other.x));
            return std::abs(other.sum - one.sum) < 0.01 * (1 + one.sum) &&
                   length(here - there) < 0.01 * (1 + length(here));
        });
        if (!known) ways.push_back(std::move(one));
        if (ways.size() == 6) break;
    }
    std::vector<Settled> ends;
    for (const Settled& way : ways) {
        if (stop.stop_requested()) return {};
        Settled at = settle(problem, way.x, 200);
        const Vec3 here = centre(bundle.camera(at.x));
        const bool known = std::any_of(ends.begin(), ends.end(), [&](const Settled& other) {
            const Vec3 there = centre(bundle.camera(other.x));
            return std::abs(other.sum - at.sum) < 1e-6 * (1 + at.sum) &&
                   length(here - there) < 1e-4 * (1 + length(here));
        });
        if (!known) ends.push_back(std::move(at));
    }
    std::vector<Fit> fits;
    for (const Settled& at : ends)
        fits.push_back(described(sightings, bundle, at));
    return fits;
}

}  // namespace plumbmark::sight
