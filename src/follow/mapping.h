// Where a point of one picture lies in another picture of the same scene.
#pragma once

#include <array>
#include <optional>

namespace plumbmark::follow {

/// In pixels of an upright picture, x right, y down; the top left corner of the picture is (0, 0), so the
/// middle of its first pixel is (0.5, 0.5).
using Point = std::array<double, 2>;

/// A homography: the exact mapping between two pictures of a plane, and between any two pictures from one
/// place (R. Hartley and A. Zisserman, 'Multiple View Geometry', 2nd ed. 2004, sections 2.3 and 13). Row by
/// row, scaled so that the last number is 1. A plain value; any thread.
struct Mapping {
    std::array<double, 9> m{1, 0, 0, 0, 1, 0, 0, 0, 1};

    /// Where the point lies; none where the mapping takes it to infinity or behind the camera.
    [[nodiscard]] std::optional<Point> operator()(const Point& point) const;
    /// The way back; none where the mapping flattens the picture.
    [[nodiscard]] std::optional<Mapping> inverse() const;
    friend bool operator==(const Mapping&, const Mapping&) = default;
};

}  // namespace plumbmark::follow
