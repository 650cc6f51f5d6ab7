// Points, directions and turnings in space. Metres; right-handed axes, z up in the world.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

namespace plumbmark::sight {

struct Vec3 {
    double x = 0, y = 0, z = 0;
    friend bool operator==(const Vec3&, const Vec3&) = default;
};

[[nodiscard]] inline Vec3 operator+(Vec3 a, Vec3 b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
[[nodiscard]] inline Vec3 operator-(Vec3 a, Vec3 b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
[[nodiscard]] inline Vec3 operator*(double s, Vec3 a) {
    return {s * a.x, s * a.y, s * a.z};
}
[[nodiscard]] inline double dot(Vec3 a, Vec3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
[[nodiscard]] inline Vec3 cross(Vec3 a, Vec3 b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
[[nodiscard]] inline double length(Vec3 a) {
    return std::sqrt(dot(a, a));
}
/// Not of a vector without length.
[[nodiscard]] inline Vec3 unit(Vec3 a) {
    return (1 / length(a)) * a;
}

/// By rows.
using Mat3 = std::array<std::array<double, 3>, 3>;

[[nodiscard]] inline Vec3 operator*(const Mat3& m, Vec3 v) {
    return {m[0][0] * v.x + m[0][1] * v.y + m[0][2] * v.z, m[1][0] * v.x + m[1][1] * v.y + m[1][2] * v.z,
            m[2][0] * v.x + m[2][1] * v.y + m[2][2] * v.z};
}
[[nodiscard]] inline Mat3 operator*(const Mat3& a, const Mat3& b) {
    Mat3 out{};
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            for (std::size_t k = 0; k < 3; ++k)
                out[i][j] += a[i][k] * b[k][j];
    return out;
}
[[nodiscard]] inline Mat3 transposed(const Mat3& m) {
    Mat3 out{};
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            out[i][j] = m[j][i];
    return out;
}

/// The turning about an axis by its length in radians (B. Rodrigues 1840; R. Hartley and A. Zisserman,
/// 'Multiple View Geometry', 2nd ed., A4.3.2).
[[nodiscard]] Mat3 turning(Vec3 axis);
/// The axis of a turning, at most pi long.
[[nodiscard]] Vec3 axis_of(const Mat3& turning);

}  // namespace plumbmark::sight
