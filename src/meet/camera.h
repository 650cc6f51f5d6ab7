// What a meet file holds of the cameras themselves: their lenses, and what was pointed at in a picture so
// that the place of the camera follows from it. Plain values; what follows is computed (sight/calibrate.h)
// and never stored. Places in a picture are in pixels of the upright picture, x to the right and y down from
// its upper left CORNER: the middle of the first pixel is (0.5, 0.5).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "meet/capture.h"
#include "meet/ids.h"

namespace plumbmark::meet {

/// What of the course book a drawing or a place of the plan belongs to: a surface by its outline or line, or
/// a plane by its line.
enum class DrawingKind : std::uint8_t { surface, plane };

/// No more is kept of what is pointed at in one thing: a mark's places, a stand's points, the points of all
/// of its edges, and the corners of an outline, which are counted from 0.
inline constexpr std::size_t kMostPointed = 10'000;
/// Pixels of a lens's picture along one side.
inline constexpr int kLargestPicture = 1'000'000;

/// A lens as it was measured (a chessboard) or typed in: a pinhole with the distortion of D. C. Brown
/// ('Close-range camera calibration', Photogrammetric Engineering 37(8), 1971), in the form and order in
/// which most programs print it: radial k1 and k2, decentring p1 and p2, radial k3 (the formula stands in
/// sight/camera.h).
struct CameraLens {
    LensId id;
    std::string camera;  ///< personal; what people call it: "phone at the pier end"; never empty
    /// Of the upright picture that this is about, in pixels: 1 to kLargestPicture.
    int width = 0, height = 0;
    double fx = 0, fy = 0;  ///< focal lengths, pixels; positive
    double cx = 0, cy = 0;  ///< principal point, pixels
    double skew = 0;        ///< usually none
    double k1 = 0, k2 = 0, p1 = 0, p2 = 0, k3 = 0;
    // Standard deviations, none of them negative.
    double focal_standard = 0;      ///< as a part of the focal length
    double principal_standard = 0;  ///< pixels
    double k1_standard = 0;
    std::string source;  ///< personal; how it was found: "chessboard, 13 pictures, 0.39 px"; may be empty
    friend bool operator==(const CameraLens&, const CameraLens&) = default;
};

/// A place of the course book's plan, named so that it outlives a new revision of the book.
struct PlanPlace {
    DrawingKind kind = DrawingKind::surface;
    std::string key;  ///< of the surface or plane in the course book
    /// From 0: of a surface the corner of its outline, or the point of its line; of a plane's line 0 is where
    /// it comes from and 1 where it goes to.
    int corner = 0;
    friend auto operator<=>(const PlanPlace&, const PlanPlace&) = default;
};

/// Where such a place was pointed at.
struct StandPoint {
    PlanPlace place;
    std::array<double, 2> at{};
    double standard = 1;  ///< pixels: standard deviation of the pointing, the same along x and y; positive
    friend bool operator==(const StandPoint&, const StandPoint&) = default;
};

/// A straight edge between two places, one or both of which may be hidden, pointed at wherever it is seen.
struct StandEdge {
    PlanPlace from, to;                     ///< not the same
    std::vector<std::array<double, 2>> at;  ///< at least one point, anywhere on it
    double standard = 1;                    ///< pixels: standard deviation across it; positive
    friend bool operator==(const StandEdge&, const StandEdge&) = default;
};

/// What is known of the lens beforehand; the rest is found together with where the camera stands.
enum class LensKnown : std::uint8_t {
    measured,          ///< all of it
    focal_length,      ///< nothing: its focal length is found
    focal_and_radial,  ///< nothing: its focal length and k1 are found
};

/// Where a clip's camera stood at frame 'still', as what was pointed at there. A clip has at most one for
/// each frame; where the camera moved it has several.
struct CameraStand {
    StandId id;
    ClipId clip;
    FrameRef still;
    LensKnown knowledge = LensKnown::focal_length;
    LensId lens = {};  ///< there for LensKnown::measured and only for it
    std::vector<StandPoint> points;
    std::vector<StandEdge> edges;
    friend bool operator==(const CameraStand&, const CameraStand&) = default;
};

}  // namespace plumbmark::meet
