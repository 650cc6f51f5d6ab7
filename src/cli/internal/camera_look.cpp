#include "cli/internal/camera_look.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace plumbmark::cli {
namespace {

constexpr double kDegrees = 180 / std::numbers::pi;

std::optional<double> between(const sight::Camera& camera, sight::Pixel a, sight::Pixel b) {
    const auto one = ray_through(camera, a), other = ray_through(camera, b);
    if (!one || !other) return std::nullopt;
    // By both sine and cosine: either alone loses its digits somewhere.
    const double angle =
        std::atan2(length(cross(one->direction, other->direction)), dot(one->direction, other->direction));
    return angle * kDegrees;
}

}  // namespace

Look look_of(const sight::CalibratedCamera& camera) {
    const sight::Mat3& turn = camera.camera.pose.turn;
    const auto row = [&](std::size_t i) { return sight::Vec3{turn[i][0], turn[i][1], turn[i][2]}; };
    const sight::Vec3 right = row(0), down = row(1), ahead = row(2);
    Look look;
    const double level = std::hypot(ahead.x, ahead.y);
    look.elevation = std::atan2(ahead.z, level) * kDegrees;
    // Within a thousandth of the vertical neither means anything.
    if (level > 1e-3) {
        look.bearing = std::atan2(ahead.y, ahead.x) * kDegrees;
        look.roll = std::atan2(-right.z, -down.z) * kDegrees;
    }
    const auto standard = [&](std::size_t i) {
        return std::sqrt(std::max(0.0, camera.covariance[i * camera.unknowns() + i])) * kDegrees;
    };
    // Turning about the axis to the right moves the line of sight up and down.
    look.up_down = standard(0);
    look.sideways = standard(1);
    look.around = standard(2);
    const double width = camera.camera.lens.width, height = camera.camera.lens.height;
    const auto across = between(camera.camera, {0, height / 2}, {width, height / 2});
    const auto along = between(camera.camera, {width / 2, 0}, {width / 2, height});
    if (across && along) look.view = {*across, *along};
    return look;
}

}  // namespace plumbmark::cli
