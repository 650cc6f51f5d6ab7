#include "sight/camera.h"

#include <cmath>

#include "sight/internal/jet.h"
#include "sight/internal/project.h"

namespace plumbmark::sight {
namespace {

/// How fast the distorted radius grows with the radius; it turns back where this is not positive.
double growth(const Lens& lens, double square) {
    return 1 + square * (3 * lens.k1 + square * (5 * lens.k2 + square * 7 * lens.k3));
}

/// Whether the radial part grows all the way out to this squared radius.
bool grows_until(const Lens& lens, double square) {
    constexpr int kSteps = 32;
    for (int i = 1; i <= kSteps; ++i)
        if (growth(lens, square * i / kSteps) <= 0) return false;
    return true;
}

}  // namespace

Vec3 centre(const Camera& camera) {
    return -1 * (transposed(camera.pose.turn) * camera.pose.shift);
}

std::optional<Pixel> project(const Camera& camera, Vec3 point) {
    const Vec3 at = camera.pose.turn * point + camera.pose.shift;
    if (!(at.z > 0)) return std::nullopt;
    const double x = at.x / at.z, y = at.y / at.z;
    if (!grows_until(camera.lens, x * x + y * y)) return std::nullopt;
    const auto [u, v] = seen_at<double>(numbers_of(camera.lens), {at.x, at.y, at.z});
    return Pixel{u, v};
}

std::optional<Ray> ray_through(const Camera& camera, Pixel pixel) {
    const Lens& lens = camera.lens;
    const double v = (pixel.y - lens.cy) / lens.fy;
    const double u = (pixel.x - lens.cx - lens.skew * v) / lens.fx;
    using Two = Jet<2>;
    LensNumbers<Two> numbers;
    const LensNumbers<double> plain = numbers_of(lens);
    for (std::size_t i = 0; i < plain.size(); ++i)
        numbers[i] = plain[i];
    double x = u, y = v;
    bool found = false;
    for (int i = 0; i < 50 && !found; ++i) {
        const auto [dx, dy] = distorted<Two>(numbers, Two::of(x, 0), Two::of(y, 1));
        const double wrong_x = dx.value - u, wrong_y = dy.value - v;
        const double determinant = dx.by[0] * dy.by[1] - dx.by[1] * dy.by[0];
        if (!(std::abs(determinant) > 1e-12)) return std::nullopt;
        const double step_x = (dy.by[1] * wrong_x - dx.by[1] * wrong_y) / determinant;
        const double step_y = (dx.by[0] * wrong_y - dy.by[0] * wrong_x) / determinant;
        // A full step may leap over the place where the distortion turns back.
        const double size = std::hypot(step_x, step_y), most = 0.25 * (1 + std::hypot(x, y));
        const double part = size > most ? most / size : 1;
        x -= part * step_x;
        y -= part * step_y;
        found = size < 1e-14 * (1 + std::hypot(x, y));
        if (!std::isfinite(x) || !std::isfinite(y)) return std::nullopt;
    }
    const auto [back_x, back_y] = distorted<double>(plain, x, y);
    if (std::hypot(back_x - u, back_y - v) * lens.fx > 1e-6 || !grows_until(lens, x * x + y * y))
        return std::nullopt;
    return Ray{centre(camera), unit(transposed(camera.pose.turn) * Vec3{x, y, 1})};
}

std::optional<Lens> rescaled(const Lens& lens, int width, int height) {
    if (lens.width <= 0 || lens.height <= 0 || width <= 0 || height <= 0) return std::nullopt;
    const double by_x = static_cast<double>(width) / lens.width;
    const double by_y = static_cast<double>(height) / lens.height;
    if (std::abs(by_x / by_y - 1) > 0.005) return std::nullopt;
    Lens out = lens;
    out.width = width;
    out.height = height;
    out.fx *= by_x;
    out.cx *= by_x;
    out.skew *= by_x;
    out.fy *= by_y;
    out.cy *= by_y;
    return out;
}

}  // namespace plumbmark::sight
