#include "sight/internal/consensus.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "sight/internal/bundle.h"
#include "sight/internal/first_guess.h"
#include "sight/internal/least_squares.h"

namespace plumbmark::sight {
namespace {

constexpr std::size_t kSample = 6;
constexpr int kSamples = 48;
/// Standard deviations beyond which a point counts as wrong. A camera of six points sees the others less well
/// than its own; places that were mixed up are off by far more.
constexpr double kWrong = 12;

/// How far a point is from where the camera sees its place, in standard deviations of pointing and measures.
double off(const Sightings& sightings, const Camera& camera, const SeenPlace& seen) {
    const KnownPlace& place = sightings.places[seen.place];
    const auto at = project(camera, place.at);
    if (!at) return kWrong;
    const double depth = length(place.at - centre(camera));
    const double pixels = camera.lens.fx * place.tolerance / depth;
    return std::hypot(at->x - seen.at.x, at->y - seen.at.y) / std::hypot(seen.standard, pixels);
}

double truncated(const Sightings& sightings, const Camera& camera) {
    double sum = 0;
    for (const SeenPlace& seen : sightings.points) {
        const double one = std::min(kWrong, off(sightings, camera, seen));
        sum += one * one;
    }
    return sum;
}

/// These points alone, with their places alone: what is adjusted stays small.
Sightings only(const Sightings& sightings, const std::vector<std::size_t>& points) {
    Sightings out = sightings;
    out.places.clear();
    out.points.clear();
    out.edges.clear();
    for (const std::size_t point : points) {
        out.points.push_back(sightings.points[point]);
        out.points.back().place = out.places.size();
        out.places.push_back(sightings.places[sightings.points[point].place]);
    }
    return out;
}

std::optional<Camera> camera_of_sample(const Sightings& sample) {
    const Bundle bundle(sample);
    std::optional<Camera> best;
    std::vector<double> from;
    double least = 1e300;
    for (const Beginning& guess : first_guesses(sample, sample.points)) {
        std::vector<double> x = bundle.begin(guess.pose, guess.focal);
        const Camera camera = bundle.camera(x);
        double sum = 0;
        for (const SeenPlace& seen : sample.points) {
            const double one = off(sample, camera, seen);
            sum += one * one;
        }
        if (sum < least) least = sum, best = camera, from = std::move(x);
    }
    if (!best) return best;
    const Settled settled = settle(bundle.problem(), from, 30);
    if (std::isfinite(settled.sum)) best = bundle.camera(settled.x);
    return best;
}

}  // namespace

std::optional<Consensus> consensus(const Sightings& sightings, const std::stop_token& stop) {
    const std::size_t n = sightings.points.size();
    if (n < kSample) return std::nullopt;
    std::mt19937 random(20);
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::optional<Camera> best;
    double least = 1e300;
    for (int i = 0; i < kSamples && !stop.stop_requested(); ++i) {
        for (std::size_t k = 0; k < kSample; ++k)
            std::swap(order[k], order[k + random() % (n - k)]);
        const Sightings sample =
            only(sightings, {order.begin(), order.begin() + static_cast<std::ptrdiff_t>(kSample)});
        const auto camera = camera_of_sample(sample);
        const double sum = camera ? truncated(sightings, *camera) : least;
        if (sum < least) least = sum, best = camera;
    }
    if (!best || stop.stop_requested()) return std::nullopt;
    std::vector<double> far(n);
    for (std::size_t i = 0; i < n; ++i)
        far[i] = off(sightings, *best, sightings.points[i]);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return far[a] > far[b]; });
    return Consensus{*best, order};
}

}  // namespace plumbmark::sight
