#include "sight/plan_view.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::sight {
namespace {

constexpr double kSkin = 0.001;  ///< metres: nearer than this to a block counts as its own surface
constexpr int kMostSteps = 400;

/// Whether a point seen from above lies within an outline (M. Shimrat 1962, 'Position of point relative to
/// polygon').
bool within(const std::vector<std::array<double, 2>>& outline, double x, double y) {
    bool inside = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const auto &a = outline[i], &b = outline[j];
        if ((a[1] > y) == (b[1] > y)) continue;
        if (x < (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0]) inside = !inside;
    }
    return inside;
}

/// The shares of the way from 'from' to 'to' at which it goes through the block's outline, seen from above,
/// with both ends; ascending.
std::vector<double> cuts(const Block& block, Vec3 from, Vec3 to) {
    std::vector<double> shares{0, 1};
    const double dx = to.x - from.x, dy = to.y - from.y;
    for (std::size_t i = 0, j = block.outline.size() - 1; i < block.outline.size(); j = i++) {
        const double ex = block.outline[i][0] - block.outline[j][0],
                     ey = block.outline[i][1] - block.outline[j][1];
        const double turn = dx * ey - dy * ex;
        if (std::abs(turn) < 1e-15) continue;
        const double ox = block.outline[j][0] - from.x, oy = block.outline[j][1] - from.y;
        const double share = (ox * ey - oy * ex) / turn, along = (ox * dy - oy * dx) / turn;
        if (share > 0 && share < 1 && along >= 0 && along <= 1) shares.push_back(share);
    }
    std::sort(shares.begin(), shares.end());
    return shares;
}

/// Metres of the way between two places that lie within a block.
double length_within(const Block& block, Vec3 from, Vec3 to) {
    if (block.outline.size() < 3) return 0;
    double sum = 0;
    const std::vector<double> shares = cuts(block, from, to);
    for (std::size_t i = 0; i + 1 < shares.size(); ++i) {
        const double middle = (shares[i] + shares[i + 1]) / 2;
        if (!within(block.outline, from.x + middle * (to.x - from.x), from.y + middle * (to.y - from.y)))
            continue;
        double low = shares[i], high = shares[i + 1];
        const double rise = to.z - from.z;
        if (std::abs(rise) < 1e-12) {
            if (from.z < block.bottom || from.z > block.top) continue;
        } else {
            const double one = (block.bottom - from.z) / rise, other = (block.top - from.z) / rise;
            low = std::max(low, std::min(one, other));
            high = std::min(high, std::max(one, other));
        }
        if (high > low) sum += (high - low) * length(to - from);
    }
    return sum;
}

}  // namespace

bool is_hidden(const Camera& camera, Vec3 place, const std::vector<Block>& blocks) {
    const Vec3 eye = centre(camera);
    const double far = length(place - eye);
    if (!(far > 2 * kSkin)) return false;
    // A place on a block's own face is looked at from just before it.
    const Vec3 before = place - (kSkin / far) * (place - eye);
    return std::any_of(blocks.begin(), blocks.end(),
                       [&](const Block& block) { return length_within(block, eye, before) > kSkin; });
}

std::vector<SeenStretch> seen_line(const Camera& camera, Vec3 from, Vec3 to, const std::vector<Block>& blocks,
                                   double step) {
    const int steps =
        std::clamp(static_cast<int>(std::ceil(length(to - from) / std::max(step, 1e-6))), 1, kMostSteps);
    std::vector<SeenStretch> out;
    bool open = false;
    std::optional<Pixel> last;
    bool last_hidden = false;
    for (int i = 0; i <= steps; ++i) {
        const Vec3 at = from + (static_cast<double>(i) / steps) * (to - from);
        const auto pixel = project(camera, at);
        const bool hidden = pixel && is_hidden(camera, at, blocks);
        if (last && pixel) {
            // A piece between two places is hidden where both its ends are.
            const bool piece = last_hidden && hidden;
            if (!open || out.back().hidden != piece) out.push_back({{*last}, piece});
            out.back().points.push_back(*pixel);
        }
        open = last && pixel;
        last = pixel;
        last_hidden = hidden;
    }
    return out;
}

}  // namespace plumbmark::sight
