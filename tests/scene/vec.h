// Vectors, and the elementary functions of the rendered world. Sine, cosine, exponential, logarithm and arc
// tangent are computed here from fixed series with plain IEEE 754 double operations (and the correctly
// rounded square root), so that a picture is the same to the byte on every machine, whatever its mathematics
// library.
#pragma once

#include <cmath>
#include <cstdint>

namespace plumbmark::scene {

struct Vec3 {
    double x = 0, y = 0, z = 0;
    double& operator[](int i) { return i == 0 ? x : i == 1 ? y : z; }
    double operator[](int i) const { return i == 0 ? x : i == 1 ? y : z; }
};

inline Vec3 operator+(Vec3 a, Vec3 b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Vec3 operator-(Vec3 a, Vec3 b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Vec3 operator-(Vec3 a) {
    return {-a.x, -a.y, -a.z};
}
inline Vec3 operator*(Vec3 a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}
inline Vec3 operator*(double s, Vec3 a) {
    return a * s;
}
inline Vec3 operator/(Vec3 a, double s) {
    return a * (1.0 / s);
}
/// Component by component, for colours.
inline Vec3 operator*(Vec3 a, Vec3 b) {
    return {a.x * b.x, a.y * b.y, a.z * b.z};
}
inline Vec3& operator+=(Vec3& a, Vec3 b) {
    return a = a + b;
}
inline double dot(Vec3 a, Vec3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline Vec3 cross(Vec3 a, Vec3 b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double length(Vec3 a) {
    return std::sqrt(dot(a, a));
}
/// The unit vector; +z for a vector of length zero.
inline Vec3 unit(Vec3 a) {
    const double l = length(a);
    return l > 0 ? a / l : Vec3{0, 0, 1};
}
inline double clamp(double v, double low, double high) {
    return v < low ? low : v > high ? high : v;
}
inline double mix(double a, double b, double s) {
    return a + (b - a) * s;
}
inline Vec3 mix(Vec3 a, Vec3 b, double s) {
    return a + (b - a) * s;
}
/// 0 below a, 1 above b, 3u^2 - 2u^3 between.
inline double smooth(double a, double b, double v) {
    const double u = clamp((v - a) / (b - a), 0, 1);
    return u * u * (3 - 2 * u);
}

inline constexpr double kPi = 3.14159265358979323846;
inline constexpr double kGravity = 9.80665;  // m/s^2, standard gravity (CGPM 1901)

/// Sine and cosine, |x| <= 1e5 radians, within 1e-12 of the true value.
[[nodiscard]] double sine(double x);
[[nodiscard]] double cosine(double x);
/// Angle of the point (x, y) in (-pi, pi]; 0 for the origin. Within 1e-12.
[[nodiscard]] double angle_of(double y, double x);
/// e^x for |x| <= 700, relative error below 1e-12.
[[nodiscard]] double exponential(double x);
/// Natural logarithm of x > 0, within 1e-12.
[[nodiscard]] double logarithm(double x);
/// x^y for x >= 0.
[[nodiscard]] double power(double x, double y);

/// Mixes 64 bits (the finaliser of SplitMix64: Steele, Lea & Flood 2014).
inline std::uint64_t mixed(std::uint64_t v) {
    v += 0x9E3779B97F4A7C15U;
    v = (v ^ (v >> 30)) * 0xBF58476D1CE4E5B9U;
    v = (v ^ (v >> 27)) * 0x94D049BB133111EBU;
    return v ^ (v >> 31);
}
/// A number in [0, 1) from a key, the same for the same key.
inline double hash_unit(std::uint64_t key) {
    return static_cast<double>(mixed(key) >> 11) * 0x1p-53;
}

/// Smooth noise in [0, 1] over the plane, one lattice cell per unit length.
[[nodiscard]] double value_noise(double x, double y, std::uint32_t seed);

}  // namespace plumbmark::scene
