// The projection as one formula, for numbers and for numbers with derivatives.
#pragma once

#include <array>

#include "sight/camera.h"

namespace plumbmark::sight {

/// fx, fy, cx, cy, skew, k1, k2, p1, p2, k3
template <class T>
using LensNumbers = std::array<T, 10>;

[[nodiscard]] inline LensNumbers<double> numbers_of(const Lens& lens) {
    return {lens.fx, lens.fy, lens.cx, lens.cy, lens.skew, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3};
}

/// A direction (x, y, 1) of the camera, distorted; in units of the focal length.
template <class T>
[[nodiscard]] std::array<T, 2> distorted(const LensNumbers<T>& lens, const T& x, const T& y) {
    const T &k1 = lens[5], &k2 = lens[6], &p1 = lens[7], &p2 = lens[8], &k3 = lens[9];
    const T square = x * x + y * y;
    const T radial = T(1) + square * (k1 + square * (k2 + square * k3));
    const T both = T(2) * x * y;
    return {x * radial + p1 * both + p2 * (square + T(2) * x * x),
            y * radial + p2 * both + p1 * (square + T(2) * y * y)};
}

/// A point in the camera's axes, ahead of it, in pixels.
template <class T>
[[nodiscard]] std::array<T, 2> seen_at(const LensNumbers<T>& lens, const std::array<T, 3>& point) {
    const auto [x, y] = distorted(lens, point[0] / point[2], point[1] / point[2]);
    return {lens[0] * x + lens[4] * y + lens[2], lens[1] * y + lens[3]};
}

}  // namespace plumbmark::sight
