// Where a camera might stand, before anything is weighed: beginnings for the bundle.
#pragma once

#include <vector>

#include "sight/calibrate.h"

namespace plumbmark::sight {

struct Beginning {
    Pose pose;
    double focal = 0;  ///< pixels
};

/// What there is to begin from: places that were pointed at, and corners at which two edges that were pointed
/// at meet in the picture (by the lines that fit their points).
[[nodiscard]] std::vector<SeenPlace> corners_seen(const Sightings& sightings);

/// How far places reach in three directions at right angles, as standard deviations in metres, the largest
/// first: the third is 0 of a plane, the second as well of a line.
[[nodiscard]] Vec3 extent(const std::vector<Vec3>& places);

/// For each focal length that may be, each pose in which the corners would be seen about where they are:
/// of a plane by T. Collins and A. Bartoli ('Infinitesimal plane-based pose estimation', IJCV 2014), both of
/// its answers, else by G. Terzakis and M. Lourakis ('A consistently fast and globally optimal solution to
/// the perspective-n-point problem', ECCV 2020), as OpenCV has them. 'corners' are four or more.
[[nodiscard]] std::vector<Beginning> first_guesses(const Sightings& sightings,
                                                   const std::vector<SeenPlace>& corners);

}  // namespace plumbmark::sight
