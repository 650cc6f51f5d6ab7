// Where a camera stands and what its lens is, from places whose measures are known: corners of platforms,
// marks on the floor, edges that are partly hidden. Everything that is measured has its own uncertainty (the
// tape's tolerance, the hand that points into the picture, what is known of the lens beforehand), and what
// comes out carries all of it. Values; any thread.
#pragma once

#include <cstddef>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "sight/camera.h"

namespace plumbmark::sight {

/// A place whose measures somebody took.
struct KnownPlace {
    std::string name;      ///< as people call it: "coil deck, corner 2"
    Vec3 at;               ///< metres
    double tolerance = 0;  ///< metres by which each of its measures may be wrong; 0: exact
};

/// Where such a place was pointed at.
struct SeenPlace {
    std::size_t place = 0;
    Pixel at;
    double standard = 1;  ///< pixels: standard deviation of the pointing, the same along x and y
};

/// A straight edge between two places, one or both of which may be hidden; points on it, wherever it is seen.
struct SeenEdge {
    std::size_t from = 0, to = 0;
    std::vector<Pixel> at;
    double standard = 1;  ///< pixels
};

/// What is known of the lens beforehand, and what is to be found.
enum class LensKnowledge {
    measured,          ///< all of it, as 'lens' and 'lens_standard' say
    focal_length,      ///< the focal length is found; it bends no more than phones' pictures do
    focal_and_radial,  ///< and the radial distortion k1
};

/// How well a measured lens is known: standard deviations.
struct LensStandard {
    double focal = 0;      ///< as a part of the focal length
    double principal = 0;  ///< pixels
    double k1 = 0;
};

struct Sightings {
    int width = 0, height = 0;  ///< of the upright picture
    std::vector<KnownPlace> places;
    std::vector<SeenPlace> points;
    std::vector<SeenEdge> edges;
    LensKnowledge knowledge = LensKnowledge::focal_length;
    Lens lens;  ///< where it was measured, for a picture of this size
    LensStandard lens_standard;
};

/// What is supposed of a lens that nobody measured (common practice, no source): the principal point within
/// this part of the picture's longer side of the middle, and a k1 of about this, as standard deviations.
inline constexpr double kPrincipalStandard = 0.015;
inline constexpr double kRadialStandard = 0.05;     ///< where it is not looked for
inline constexpr double kFreeRadialStandard = 0.5;  ///< where it is

/// What is left between where a place was pointed at and where the camera would see it.
struct Residual {
    std::string name;  ///< of the place, or "edge from ... to ..."
    Pixel seen, expected;
    double pixels = 0;  ///< between the two; of an edge across it
    /// The residual over its own standard deviation; beyond 'suspicious' at the stated risk.
    double normalised = 0;
};

/// One that does not fit the others, and what it probably is.
struct Suspect {
    std::size_t residual = 0;            ///< index into 'residuals'
    std::optional<std::size_t> instead;  ///< the place that would be seen there, by the others
    double pixels_alone = 0;             ///< how far it is off by what the others say
};

/// A camera, and how well it is known together with the places it was found from.
struct CalibratedCamera {
    Camera camera;
    std::vector<KnownPlace> places;  ///< as the pictures have shifted them within their tolerance
    std::vector<Residual> residuals;
    double rms = 0;      ///< pixels, over the residuals
    int redundancy = 0;  ///< equations beyond what is looked for
    /// Sum of the squared normalised residuals over the redundancy; where it is surely over 1 (at a risk of
    /// 0.1 %) the covariance has been multiplied by it.
    double strain = 0;
    std::vector<Suspect> suspects;  ///< empty as well where too little is there to tell: 'can_tell'
    bool can_tell = false;          ///< whether a single wrong place would have been noticed
    /// Of: turning x, y, z (radians, about the camera's axes, after the turning), shift x, y, z (metres), the
    /// focal length's logarithm, principal point x and y (pixels), k1, and then x, y, z of each place; by
    /// rows.
    std::vector<double> covariance;

    /// Unknowns before those of the places.
    static constexpr std::size_t kOwn = 10;
    [[nodiscard]] std::size_t unknowns() const { return kOwn + 3 * places.size(); }
    /// Standard deviations of where it stands, along the world's axes.
    [[nodiscard]] Vec3 centre_standard() const;
    [[nodiscard]] double focal_standard() const;  ///< pixels
};

/// The camera with the first kOwn of such changes.
[[nodiscard]] Camera moved(const Camera& camera, const double* own);

/// Maximum a posteriori over camera and places at once (bundle adjustment: B. Triggs and others, Vision
/// Algorithms 1999), from several beginnings; its covariance is the inverse of the normal matrix. A wrong
/// place is looked for by W. Baarda's data snooping ('A testing procedure for use in geodetic networks',
/// 1968) at a risk of 0.1 %: the one, or else the two, without which all the rest holds; first from where
/// the whole of them led (of more than 14, from where most agree), then anew from every beginning.
///
/// Errors: bad_input, which says what is missing and what to add: fewer than four places seen; all of them on
/// one line; a focal length that these places cannot tell (a plane seen square on); two ways in which the
/// camera could stand; a place that is behind every camera; places that contradict each other so far that
/// nothing can be told of the camera; cancelled.
[[nodiscard]] base::Result<CalibratedCamera> calibrate(const Sightings& sightings,
                                                       const std::stop_token& stop = {});

}  // namespace plumbmark::sight
