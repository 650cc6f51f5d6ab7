#include "sight/calibrate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/worded.h"
#include "sight/internal/bundle.h"
#include "sight/internal/chi_square.h"
#include "sight/internal/consensus.h"
#include "sight/internal/first_guess.h"
#include "sight/internal/fit.h"
#include "sight/internal/limits.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<void> look_over(const Sightings& sightings) {
    if (sightings.width < 1 || sightings.height < 1) return refused(worded("The picture has no size."));
    const auto finite = [](const Pixel& at) { return std::isfinite(at.x) && std::isfinite(at.y); };
    for (const SeenPlace& one : sightings.points)
        if (one.place >= sightings.places.size() || !finite(one.at) || !(one.standard > 0))
            return refused(worded("A point names a place that is not there, or its numbers are none."));
    for (const SeenEdge& edge : sightings.edges) {
        if (edge.from >= sightings.places.size() || edge.to >= sightings.places.size() ||
            edge.from == edge.to || !(edge.standard > 0) ||
            !std::all_of(edge.at.begin(), edge.at.end(), finite))
            return refused(worded("An edge names a place that is not there, or its numbers are none."));
        if (length(sightings.places[edge.to].at - sightings.places[edge.from].at) < 1e-6)
            return refused(worded("The edge from '{}' to '{}' has no length.",
                                  sightings.places[edge.from].name, sightings.places[edge.to].name));
    }
    const bool measured = sightings.knowledge == LensKnowledge::measured;
    if (measured && !(sightings.lens.fx > 0 && sightings.lens.fy > 0))
        return refused(worded("The lens has no focal length."));
    if (measured && (sightings.lens.width != sightings.width || sightings.lens.height != sightings.height))
        return refused(worded("The lens was measured in pictures of {} x {} pixels; these have {} x {}.",
                              sightings.lens.width, sightings.lens.height, sightings.width,
                              sightings.height));
    return {};
}

Result<void> enough(const Sightings& sightings, const std::vector<SeenPlace>& corners) {
    if (corners.size() < 4)
        return refused(
            worded("Four places are needed at least, pointed at or where two edges meet; there are {}. "
                   "Add corners whose measures are known.",
                   corners.size()));
    std::vector<Vec3> at;
    for (const SeenPlace& one : corners)
        at.push_back(sightings.places[one.place].at);
    const Vec3 reach = extent(at);
    if (!(reach.y > kLineReach * reach.x))
        return refused(
            worded("All places lie on one line, about which the camera could turn. Add one beside it."));
    return {};
}

/// What cannot be told by a fit that has settled.
Result<void> told(const Fit& fit, const Sightings& sightings) {
    const CalibratedCamera& found = fit.found;
    if (sightings.knowledge != LensKnowledge::measured &&
        !(found.focal_standard() < kVagueFocal * found.camera.lens.fx))
        return refused(
            worded("These places do not tell the focal length: a plane seen square on looks the same from "
                   "near and, magnified, from far. Add a place above or below it, or take a lens that "
                   "was measured."));
    Vec3 middle;
    for (const KnownPlace& place : found.places)
        middle = middle + (1.0 / static_cast<double>(found.places.size())) * place.at;
    if (!(length(found.centre_standard()) < kVagueCentre * length(centre(found.camera) - middle)))
        return refused(
            worded("These places do not tell where the camera stands: they are too close together in the "
                   "picture. Add places further apart."));
    return {};
}

/// Another way to stand that explains what is seen nearly as well.
bool is_rival(const Fit& best, const Fit& other) {
    if (other.sum - best.sum > chi_square_quantile(1 - kRisk, 2)) return false;
    const Vec3 here = centre(best.found.camera), there = centre(other.found.camera);
    const Vec3 standard = best.found.centre_standard();
    return length(here - there) > kRivalApart * length(standard);
}

bool strained(const Fit& fit) {
    return fit.redundancy > 0 && fit.sum > chi_square_quantile(1 - kRisk, fit.redundancy);
}

/// What came of the beginnings: the best of them, whether or not it can be taken for the camera, and why not.
struct Attempt {
    std::optional<Fit> best;
    std::optional<Error> refusal;
};

Attempt attempt(const Sightings& sightings, const std::stop_token& stop) {
    const std::vector<SeenPlace> corners = corners_seen(sightings);
    if (auto good = enough(sightings, corners); !good) return {{}, good.error()};
    std::vector<Fit> fits = fit_all(sightings, first_guesses(sightings, corners), stop);
    if (stop.stop_requested())
        return {{}, Error{Category::cancelled, worded("The calibration was stopped."), {}}};
    if (fits.empty())
        return {{},
                refused(worded(
                    "No camera sees these places where they were pointed at. See that each was pointed at by "
                    "its own name, and that their measures are in metres."))};
    std::sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.sum < b.sum; });
    Attempt out{std::move(fits.front()), {}};
    if (auto good = told(*out.best, sightings); !good) {
        // A fit that strains says nothing of what right places would tell.
        out.refusal =
            strained(*out.best)
                ? refused(worded(
                      "These places contradict each other, more than leaving out one or two would mend. See "
                      "that each was pointed at by its own name, and that its measures are right."))
                : good.error();
        return out;
    }
    for (std::size_t i = 1; i < fits.size() && !out.refusal; ++i)
        if (is_rival(*out.best, fits[i]))
            out.refusal = refused(
                worded("The camera could stand in two places that show this picture. Add a place above or "
                       "below the others, or further from them."));
    return out;
}

Result<Fit> fitted(const Sightings& sightings, const std::stop_token& stop) {
    Attempt made = attempt(sightings, stop);
    if (made.refusal) return *made.refusal;
    return std::move(*made.best);
}

/// 'points' in ascending order.
Sightings without(const Sightings& sightings, const std::vector<std::size_t>& points) {
    Sightings fewer = sightings;
    for (auto point = points.rbegin(); point != points.rend(); ++point)
        fewer.points.erase(fewer.points.begin() + static_cast<std::ptrdiff_t>(*point));
    return fewer;
}

/// What a camera that was found without this point says of it.
Suspect suspect_of(const Sightings& sightings, const CalibratedCamera& others, std::size_t point) {
    Suspect out;
    out.residual = point;
    const SeenPlace& seen = sightings.points[point];
    const auto own = project(others.camera, others.places[seen.place].at);
    out.pixels_alone = own ? std::hypot(own->x - seen.at.x, own->y - seen.at.y) : 0;
    double nearest = std::max(4 * seen.standard, 0.2 * out.pixels_alone);
    for (std::size_t i = 0; i < others.places.size(); ++i) {
        if (i == seen.place) continue;
        const auto there = project(others.camera, others.places[i].at);
        const double off = there ? std::hypot(there->x - seen.at.x, there->y - seen.at.y) : nearest;
        if (off < nearest) nearest = off, out.instead = i;
    }
    return out;
}

/// A fit that holds once some points are left out, and which.
struct Cleared {
    Fit fit;
    std::vector<std::size_t> out;
};

std::optional<Cleared> try_without(const Sightings& sightings, std::vector<std::size_t> points,
                                   const std::stop_token& stop) {
    auto fit = fitted(without(sightings, points), stop);
    if (!fit || fit->redundancy < 1 || strained(*fit)) return std::nullopt;
    return Cleared{std::move(*fit), std::move(points)};
}

/// Whether the rest may hold without these points ('points' in ascending order), from a camera near it: the
/// sum of the squared residuals of the one way from there; nothing where it is too large. Hundreds of times
/// as quick as try_without(), which looks from everywhere.
std::optional<double> quick_without(const Sightings& sightings, const std::vector<std::size_t>& points,
                                    const Camera& warm) {
    const Sightings fewer = without(sightings, points);
    const Bundle bundle(fewer);
    if (bundle.redundancy() < 1) return std::nullopt;
    const Settled at = settle(bundle.problem(), bundle.begin(warm.pose, warm.lens.fx), 60);
    if (!std::isfinite(at.sum) || at.sum > chi_square_quantile(1 - kRisk, bundle.redundancy()))
        return std::nullopt;
    return at.sum;
}

/// The ones of these, one or two at once, without which the quick look finds the least.
std::vector<std::size_t> quickest(const Sightings& sightings, const std::vector<std::size_t>& among,
                                  int at_once, const Camera& warm, const std::stop_token& stop) {
    std::vector<std::size_t> best;
    double least = 1e300;
    const auto look = [&](std::vector<std::size_t> points) {
        const auto sum = quick_without(sightings, points, warm);
        if (sum && *sum < least) least = *sum, best = std::move(points);
    };
    for (std::size_t i = 0; i < among.size(); ++i) {
        if (stop.stop_requested()) return {};
        if (at_once == 1) look({among[i]});
        for (std::size_t j = i + 1; at_once == 2 && j < among.size(); ++j)
            look({std::min(among[i], among[j]), std::max(among[i], among[j])});
    }
    return best;
}

constexpr std::size_t kMostPairsOf = 14;

/// Among so many that not every pair can be tried: those that stand out where most agree.
std::optional<Cleared> cleared_of_many(const Sightings& sightings, const std::stop_token& stop) {
    constexpr std::size_t kSuspected = 8;
    const auto most = consensus(sightings, stop);
    if (!most) return std::nullopt;
    std::vector<std::size_t> among = most->furthest_first;
    among.resize(std::min(among.size(), kSuspected));
    for (const int at_once : {1, 2}) {
        const auto out = quickest(sightings, among, at_once, most->camera, stop);
        if (out.empty()) continue;
        if (auto found = try_without(sightings, out, stop)) return found;
    }
    return std::nullopt;
}

/// The one point, or else the two, without which the rest holds; the best of them where there are several.
std::optional<Cleared> cleared(const Sightings& sightings, const std::optional<Camera>& warm,
                               const std::stop_token& stop) {
    const std::size_t n = sightings.points.size();
    std::optional<Cleared> best;
    const auto better = [&](std::optional<Cleared> found) {
        if (found && (!best || found->fit.sum < best->fit.sum)) best = std::move(found);
    };
    if (n > kMostPairsOf) {
        if (auto found = cleared_of_many(sightings, stop)) return found;
    } else if (warm) {
        std::vector<std::size_t> all(n);
        std::iota(all.begin(), all.end(), std::size_t{0});
        const auto out = quickest(sightings, all, 1, *warm, stop);
        if (!out.empty()) better(try_without(sightings, out, stop));
        if (best) return best;
    }
    for (std::size_t i = 0; i < n && !stop.stop_requested(); ++i)
        better(try_without(sightings, {i}, stop));
    if (best || n > kMostPairsOf) return best;
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = i + 1; j < n && !stop.stop_requested(); ++j)
            better(try_without(sightings, {i, j}, stop));
    return best;
}

}  // namespace

Result<CalibratedCamera> calibrate(const Sightings& sightings, const std::stop_token& stop) {
    if (auto good = look_over(sightings); !good) return good.error();
    Attempt all = attempt(sightings, stop);
    const bool wrong = all.refusal ? all.refusal->category != Category::cancelled : strained(*all.best);
    const bool may_be_one = wrong && Bundle(sightings).redundancy() >= 3;
    if (may_be_one) {
        std::optional<Camera> warm;
        if (all.best) warm = all.best->found.camera;
        if (auto better = cleared(sightings, warm, stop)) {
            CalibratedCamera found = std::move(better->fit.found);
            // Their residuals stand in their places again, by the camera that was found without them.
            for (const std::size_t point : better->out) {
                const Suspect suspect = suspect_of(sightings, found, point);
                const SeenPlace& seen = sightings.points[point];
                Residual residual{sightings.places[seen.place].name, seen.at, seen.at, suspect.pixels_alone,
                                  suspect.pixels_alone / seen.standard};
                if (const auto own = project(found.camera, found.places[seen.place].at))
                    residual.expected = *own;
                found.residuals.insert(found.residuals.begin() + static_cast<std::ptrdiff_t>(point),
                                       residual);
                found.suspects.push_back(suspect);
            }
            return found;
        }
        if (stop.stop_requested())
            return Error{Category::cancelled, worded("The calibration was stopped."), {}};
    }
    if (all.refusal) return *all.refusal;
    return std::move(all.best->found);
}

}  // namespace plumbmark::sight
