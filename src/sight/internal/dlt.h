// Cameras as 3 x 4 matrices, and what two of them see, without any knowledge of the lens: the direct linear
// transformation (Y. Abdel-Aziz and H. Karara 1971), with the coordinates brought to like sizes first
// (R. Hartley, 'In defense of the eight-point algorithm', 1997), by singular values.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "sight/camera.h"

namespace plumbmark::sight {

using Matrix34 = std::array<std::array<double, 4>, 3>;

/// From six places or more that are not all on one plane; nothing where they do not tell the matrix. As many
/// pixels as places.
[[nodiscard]] std::optional<Matrix34> projection_matrix(const std::vector<Vec3>& places,
                                                        const std::vector<Pixel>& seen);

/// The point that two matrices see at two pixels: the singular vector of the smallest singular value of the
/// four equations. Nothing where they tell none.
[[nodiscard]] std::optional<Vec3> meeting_point(const Matrix34& first, Pixel in_first, const Matrix34& second,
                                                Pixel in_second);

/// A matrix taken apart: focal lengths, skew, principal point and pose, by an orthogonal factor from below
/// (R. Hartley and A. Zisserman, 6.2.4). Nothing of a matrix that is no camera's.
[[nodiscard]] std::optional<Camera> camera_of(const Matrix34& matrix);
/// The pose alone as a matrix, for pixels that are directions (x / z, y / z) of the camera.
[[nodiscard]] Matrix34 matrix_of(const Pose& pose);

}  // namespace plumbmark::sight
