// A pinhole camera: stands still, looks at a point, square pixels, principal point in the middle of the
// picture.
#pragma once

#include <array>
#include <optional>

#include "shape.h"

namespace plumbmark::scene {

struct Camera {
    Vec3 at;
    Vec3 target;
    double focal = 1500;  ///< in pixels of the displayed picture
    int width = 1280;     ///< of the displayed picture
    int height = 720;

    /// Right, down and forward as unit vectors; up in the picture is up in the world.
    [[nodiscard]] std::array<Vec3, 3> axes() const;
};

/// A point of the picture: x to the right and y down from the picture's upper left corner, in pixels (the
/// middle of the first pixel is 0.5, 0.5), and how far in front of the camera, in metres along its axis.
struct Projected {
    double x = 0, y = 0, depth = 0;
};
/// Nothing when the point is not at least 5 cm in front of the camera.
[[nodiscard]] std::optional<Projected> project(const Camera& camera, Vec3 p);

/// The ray through a point of the picture.
[[nodiscard]] Ray ray_through(const Camera& camera, double x, double y);

}  // namespace plumbmark::scene
