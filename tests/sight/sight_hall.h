// A hall with two decks and cameras whose truth is known, for the tests of measurements.
#pragma once

#include <cmath>
#include <random>
#include <vector>

#include "sight/calibrate.h"

namespace plumbmark::test {

inline sight::Camera hall_camera(sight::Vec3 at, sight::Vec3 towards = {2.5, 0.5, 0.6}, double focal = 1500) {
    using namespace sight;
    Camera camera;
    camera.lens = {1920, 1080, focal, focal, 960, 540};
    const Vec3 ahead = unit(towards - at), right = unit(cross(ahead, {0, 0, 1})), down = cross(ahead, right);
    camera.pose.turn = {{{right.x, right.y, right.z}, {down.x, down.y, down.z}, {ahead.x, ahead.y, ahead.z}}};
    camera.pose.shift = -1 * (camera.pose.turn * at);
    return camera;
}

/// Pier deck and coil deck, corners anticlockwise from the near left one.
inline std::vector<sight::KnownPlace> deck_corners(double tolerance) {
    return {{"pier deck 1", {0, 0, 0.8}, tolerance},     {"pier deck 2", {1.2, 0, 0.8}, tolerance},
            {"pier deck 3", {1.2, 1.2, 0.8}, tolerance}, {"pier deck 4", {0, 1.2, 0.8}, tolerance},
            {"coil deck 1", {3, 0, 0.5}, tolerance},     {"coil deck 2", {4.2, 0, 0.5}, tolerance},
            {"coil deck 3", {4.2, 1.2, 0.5}, tolerance}, {"coil deck 4", {3, 1.2, 0.5}, tolerance}};
}

/// What somebody points at without an error, in pictures of a lens that was measured.
inline sight::Sightings seen_by(const sight::Camera& camera, const std::vector<sight::KnownPlace>& places,
                                double standard) {
    sight::Sightings sightings;
    sightings.width = camera.lens.width;
    sightings.height = camera.lens.height;
    sightings.places = places;
    sightings.knowledge = sight::LensKnowledge::measured;
    sightings.lens = camera.lens;
    for (std::size_t i = 0; i < places.size(); ++i)
        if (const auto at = sight::project(camera, places[i].at))
            sightings.points.push_back({i, *at, standard});
    return sightings;
}

/// A camera of which all is known, but for rounding: its places too.
inline sight::CalibratedCamera exactly(const sight::Camera& camera) {
    sight::CalibratedCamera out;
    out.camera = camera;
    out.places = deck_corners(0);
    out.covariance.assign(out.unknowns() * out.unknowns(), 0);
    for (std::size_t i = 0; i < out.unknowns(); ++i)
        out.covariance[i * out.unknowns() + i] = 1e-20;
    return out;
}

/// Errors of the same kind on every run. Not the draws of src/sight.
class Hand {
  public:
    explicit Hand(unsigned seed) : engine_(seed) {}
    double even(double low, double high) {
        return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1p-53);
    }
    double normal(double standard) {  // Box and Muller 1958
        const double size = std::sqrt(-2 * std::log(1 - even(0, 1)));
        return standard * size * std::cos(2 * 3.14159265358979323846 * even(0, 1));
    }

  private:
    std::mt19937_64 engine_;
};

}  // namespace plumbmark::test
