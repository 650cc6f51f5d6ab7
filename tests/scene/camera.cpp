#include "camera.h"

namespace plumbmark::scene {

std::array<Vec3, 3> Camera::axes() const {
    const Vec3 forward = unit(target - at);
    const Vec3 right = unit(cross(forward, {0, 0, 1}));
    return {right, cross(forward, right), forward};
}

std::optional<Projected> project(const Camera& camera, Vec3 p) {
    const auto [right, down, forward] = camera.axes();
    const Vec3 v = p - camera.at;
    const double depth = dot(v, forward);
    if (depth < 0.05) return {};
    return Projected{camera.width * 0.5 + camera.focal * dot(v, right) / depth,
                     camera.height * 0.5 + camera.focal * dot(v, down) / depth, depth};
}

Ray ray_through(const Camera& camera, double x, double y) {
    const auto [right, down, forward] = camera.axes();
    return {camera.at, unit(forward + right * ((x - camera.width * 0.5) / camera.focal) +
                            down * ((y - camera.height * 0.5) / camera.focal))};
}

}  // namespace plumbmark::scene
