// A camera as geometry: its lens and where it stands. Places in a picture are in pixels of the upright
// picture, x to the right and y down from its upper left corner: the middle of the first pixel is (0.5, 0.5).
// All of it are values; any thread.
#pragma once

#include <array>
#include <optional>
#include <string>

#include "sight/space.h"

namespace plumbmark::sight {

struct Pixel {
    double x = 0, y = 0;
    friend bool operator==(const Pixel&, const Pixel&) = default;
};

/// A pinhole with the distortion of D. C. Brown ('Close-range camera calibration', Photogrammetric
/// Engineering 37(8), 1971), in the form and order in which most programs print it: radial k1 and k2,
/// decentring p1 and p2, radial k3. x' = x (1 + k1 r^2 + k2 r^4 + k3 r^6) + 2 p1 x y + p2 (r^2 + 2 x^2), y'
/// likewise with p1 and p2 changed over; x and y are in units of the focal length.
struct Lens {
    int width = 0, height = 0;  ///< of the upright picture that this is about, in pixels
    double fx = 0, fy = 0;      ///< focal lengths in pixels
    double cx = 0, cy = 0;      ///< principal point
    double skew = 0;            ///< usually none
    double k1 = 0, k2 = 0, p1 = 0, p2 = 0, k3 = 0;
    friend bool operator==(const Lens&, const Lens&) = default;
};

/// From the world's axes into the camera's: x to the right, y down, z ahead; p -> turn * p + shift.
struct Pose {
    Mat3 turn{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
    Vec3 shift;
    friend bool operator==(const Pose&, const Pose&) = default;
};

struct Camera {
    Lens lens;
    Pose pose;
    friend bool operator==(const Camera&, const Camera&) = default;
};

/// All points start + t * direction with t >= 0; direction has length 1.
struct Ray {
    Vec3 start, direction;
};

/// Where the camera is.
[[nodiscard]] Vec3 centre(const Camera& camera);

/// Nothing for a point that is not ahead of the camera, or beyond the angle from which on the lens's
/// distortion turns back, so that two directions would fall on one pixel.
[[nodiscard]] std::optional<Pixel> project(const Camera& camera, Vec3 point);

/// What is seen at a pixel lies on this ray. Newton's method on the distortion; nothing where it has no way
/// back (a pixel that no direction falls on).
[[nodiscard]] std::optional<Ray> ray_through(const Camera& camera, Pixel pixel);

/// The lens in a picture of another size with the same field of view, as where a clip is smaller than the
/// stills that the lens was measured with. Nothing where the shapes differ by more than half a percent: then
/// it was cut, and nobody knows where.
[[nodiscard]] std::optional<Lens> rescaled(const Lens& lens, int width, int height);

}  // namespace plumbmark::sight
