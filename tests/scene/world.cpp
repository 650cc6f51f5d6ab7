#include "world.h"

#include <algorithm>
#include <array>

namespace plumbmark::scene {
namespace {

struct Slab {
    Vec3 from, inverse;
    explicit Slab(const Ray& ray) : from(ray.from) {
        for (int i = 0; i < 3; ++i)
            inverse[i] = ray.along[i] != 0 ? 1 / ray.along[i] : 1e30;
    }
    [[nodiscard]] bool meets(const Bounds& b, double most) const {
        double near = 0;
        double far = most;
        for (int i = 0; i < 3; ++i) {
            const double t0 = (b.low[i] - from[i]) * inverse[i];
            const double t1 = (b.high[i] - from[i]) * inverse[i];
            near = std::max(near, std::min(t0, t1));
            far = std::min(far, std::max(t0, t1));
        }
        return near <= far;
    }
};

}  // namespace

World::World() {
    const auto& all = solids();
    std::vector<Bounds> bounds;
    for (std::uint32_t i = 0; i < all.size(); ++i) {
        bounds.push_back(bounds_of(all[i].shape));
        order_.push_back(i);
    }
    nodes_.reserve(2 * all.size());
    nodes_.emplace_back();
    split(0, 0, static_cast<std::uint32_t>(all.size()), bounds);
}

void World::split(std::size_t node, std::uint32_t first, std::uint32_t count,
                  const std::vector<Bounds>& all) {
    Bounds around;
    Bounds centres;
    for (std::uint32_t i = first; i < first + count; ++i) {
        around.include(all[order_[i]]);
        centres.include((all[order_[i]].low + all[order_[i]].high) * 0.5);
    }
    nodes_[node].bounds = around;
    if (count <= 2) {
        nodes_[node].first = first;
        nodes_[node].count = count;
        return;
    }
    const Vec3 extent = centres.high - centres.low;
    const int axis = extent.x >= extent.y && extent.x >= extent.z ? 0 : extent.y >= extent.z ? 1 : 2;
    const auto place = [&](std::uint32_t i) { return all[i].low[axis] + all[i].high[axis]; };
    std::stable_sort(order_.begin() + first, order_.begin() + first + count,
                     [&](std::uint32_t a, std::uint32_t b) { return place(a) < place(b); });
    const auto child = static_cast<std::uint32_t>(nodes_.size());
    nodes_[node].first = child;
    nodes_.emplace_back();
    nodes_.emplace_back();
    split(child, first, count / 2, all);
    split(child + 1, first + count / 2, count - count / 2, all);
}

std::optional<WorldHit> World::trace(const Ray& ray, double least, double most) const {
    const Slab slab(ray);
    std::optional<WorldHit> best;
    std::array<std::uint32_t, 64> stack{};
    std::size_t depth = 1;
    while (depth > 0) {
        const Node& node = nodes_[stack[--depth]];
        if (!slab.meets(node.bounds, most)) continue;
        if (node.count == 0) {
            stack[depth++] = node.first;
            stack[depth++] = node.first + 1;
            continue;
        }
        for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
            const auto hit = intersect(solids()[order_[i]].shape, ray, least);
            if (hit && hit->distance < most) {
                most = hit->distance;
                best = WorldHit{*hit, order_[i]};
            }
        }
    }
    return best;
}

bool World::blocked(Vec3 from, Vec3 to, double margin) const {
    const double distance = length(to - from);
    const Ray ray{from, (to - from) / distance};
    const Slab slab(ray);
    std::array<std::uint32_t, 64> stack{};
    std::size_t depth = 1;
    while (depth > 0) {
        const Node& node = nodes_[stack[--depth]];
        if (!slab.meets(node.bounds, distance)) continue;
        if (node.count == 0) {
            stack[depth++] = node.first;
            stack[depth++] = node.first + 1;
            continue;
        }
        for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
            const auto hit = intersect(solids()[order_[i]].shape, ray, margin);
            if (hit && hit->distance < distance - margin) return true;
        }
    }
    return false;
}

const World& world() {
    static const World kWorld;
    return kWorld;
}

}  // namespace plumbmark::scene
