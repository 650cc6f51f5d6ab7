#include "ruling/closed_bounds.h"

#include "ruling/network.h"

namespace plumbmark::test {
namespace {

ruling::NodeId id(std::size_t i) {
    return ruling::NodeId{static_cast<std::int64_t>(i)};
}

}  // namespace

std::optional<std::vector<std::optional<PlainBound>>> closed_bounds(std::size_t nodes,
                                                                    const std::vector<PlainBound>& bounds) {
    ruling::Network network;
    for (std::size_t i = 0; i < nodes; ++i)
        static_cast<void>(network.add_node());
    for (const PlainBound& bound : bounds)
        network.add_bound(id(bound.j), id(bound.i), {bound.ns, bound.strict});
    const auto minimal = network.minimal();
    if (!minimal) return std::nullopt;
    std::vector<std::optional<PlainBound>> closed(nodes * nodes);
    for (std::size_t i = 0; i < nodes; ++i) {
        for (std::size_t j = 0; j < nodes; ++j) {
            if (const auto upper = minimal->upper(id(j), id(i)))
                closed[i * nodes + j] = PlainBound{i, j, upper->ns, upper->strict};
        }
    }
    return closed;
}

}  // namespace plumbmark::test
