// Rays through everything that stands still.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "course.h"

namespace plumbmark::scene {

/// What a ray meets first.
struct WorldHit {
    Hit hit;
    std::size_t solid = 0;  ///< index into solids()
};

/// A tree of bounding boxes over solids(). Immutable after construction; any number of threads may trace.
class World {
  public:
    World();
    [[nodiscard]] std::optional<WorldHit> trace(const Ray& ray, double least = 1e-4, double most = 1e9) const;
    /// True when something stands between two points (both ends drawn in by 'margin').
    [[nodiscard]] bool blocked(Vec3 from, Vec3 to, double margin = 2e-3) const;

  private:
    struct Node {
        Bounds bounds;
        std::uint32_t first = 0;  // child or first entry of order_
        std::uint32_t count = 0;  // 0: inner node with children first and first + 1
    };
    void split(std::size_t node, std::uint32_t first, std::uint32_t count, const std::vector<Bounds>& all);
    std::vector<Node> nodes_;
    std::vector<std::uint32_t> order_;
};

[[nodiscard]] const World& world();

}  // namespace plumbmark::scene
