#include "ruling/network.h"

#include <algorithm>

#include "base/check.h"

namespace plumbmark::ruling {
namespace {

constexpr std::size_t kMostNodes = 1'000;
constexpr std::int64_t kLongest = std::int64_t{1} << 52;  // 1,000 such bounds add up within 64 bits

std::size_t index(NodeId id) {
    return static_cast<std::size_t>(id.value);
}

void tighten(std::optional<Bound>& held, Bound bound) {
    if (!held || bound < *held) held = bound;
}

// The walks from one node, layer by layer: after k layers, the tightest walk of exactly k edges to each node
// and the edge by which it arrives.
class Walks {
  public:
    Walks(std::size_t nodes, const std::vector<NetworkEdge>& edges, std::size_t origin)
        : edges_(edges), origin_(origin), now_(nodes) {
        now_[origin] = Bound{};
    }

    // One edge more. True when a walk has come back to the origin with a contradiction.
    bool step() {
        std::vector<std::optional<Bound>> next(now_.size());
        std::vector<std::size_t> by(now_.size(), edges_.size());
        for (std::size_t e = 0; e < edges_.size(); ++e) {
            const std::optional<Bound>& here = now_[index(edges_[e].from)];
            if (!here) continue;
            const Bound there = *here + edges_[e].upper;
            std::optional<Bound>& held = next[index(edges_[e].to)];
            if (held && *held <= there) continue;
            held = there;
            by[index(edges_[e].to)] = e;
        }
        now_ = std::move(next);
        arrivals_.push_back(std::move(by));
        return now_[origin_] && now_[origin_]->contradicts_itself();
    }

    [[nodiscard]] std::vector<EdgeId> way_back() const {
        std::vector<EdgeId> cycle;
        std::size_t at = origin_;
        for (auto layer = arrivals_.rbegin(); layer != arrivals_.rend(); ++layer) {
            const std::size_t edge = (*layer)[at];
            cycle.push_back(EdgeId{static_cast<std::int64_t>(edge)});
            at = index(edges_[edge].from);
        }
        std::reverse(cycle.begin(), cycle.end());
        return cycle;
    }

  private:
    const std::vector<NetworkEdge>& edges_;
    std::size_t origin_;
    std::vector<std::optional<Bound>> now_;
    std::vector<std::vector<std::size_t>> arrivals_;
};

}  // namespace

std::optional<Bound> MinimalNetwork::upper(NodeId from, NodeId to) const {
    PLUMBMARK_CHECK(from.valid() && to.valid() && index(from) < nodes_ && index(to) < nodes_);
    return upper_[index(from) * nodes_ + index(to)];
}

std::optional<Bound> MinimalNetwork::lower(NodeId from, NodeId to) const {
    const std::optional<Bound> back = upper(to, from);
    if (!back) return std::nullopt;
    return Bound{-back->ns, back->strict};
}

std::vector<std::optional<Bound>> MinimalNetwork::earliest(NodeId origin) const {
    std::vector<std::optional<Bound>> all;
    for (std::size_t i = 0; i < nodes_; ++i)
        all.push_back(lower(origin, NodeId{static_cast<std::int64_t>(i)}));
    return all;
}

std::vector<std::optional<Bound>> MinimalNetwork::latest(NodeId origin) const {
    std::vector<std::optional<Bound>> all;
    for (std::size_t i = 0; i < nodes_; ++i)
        all.push_back(upper(origin, NodeId{static_cast<std::int64_t>(i)}));
    return all;
}

NodeId Network::add_node() {
    PLUMBMARK_CHECK(nodes_ < kMostNodes);
    return NodeId{static_cast<std::int64_t>(nodes_++)};
}

EdgeId Network::add_bound(NodeId from, NodeId to, Bound upper) {
    PLUMBMARK_CHECK(from.valid() && to.valid() && index(from) < nodes_ && index(to) < nodes_);
    PLUMBMARK_CHECK(-kLongest < upper.ns && upper.ns < kLongest);
    edges_.push_back({from, to, upper});
    return EdgeId{static_cast<std::int64_t>(edges_.size()) - 1};
}

void Network::add_closed(NodeId from, NodeId to, base::Duration lower, base::Duration upper) {
    add_bound(from, to, Bound::at_most(upper));
    add_bound(to, from, Bound::at_most(-lower));
}

void Network::add_bracket(NodeId from, NodeId to, base::Duration lower, base::Duration upper) {
    add_bound(from, to, Bound::at_most(upper));
    add_bound(to, from, Bound::less_than(-lower));
}

const NetworkEdge& Network::edge(EdgeId id) const {
    PLUMBMARK_CHECK(id.valid() && static_cast<std::size_t>(id.value) < edges_.size());
    return edges_[static_cast<std::size_t>(id.value)];
}

std::optional<MinimalNetwork> Network::minimal() const {
    MinimalNetwork result;
    result.nodes_ = nodes_;
    result.upper_.assign(nodes_ * nodes_, std::nullopt);
    const auto at = [&](std::size_t i, std::size_t j) -> std::optional<Bound>& {
        return result.upper_[i * nodes_ + j];
    };
    for (std::size_t i = 0; i < nodes_; ++i)
        at(i, i) = Bound{};
    for (const NetworkEdge& e : edges_)
        tighten(at(index(e.from), index(e.to)), e.upper);
    for (std::size_t k = 0; k < nodes_; ++k) {
        // Looked at before each pass: past a negative cycle the sums would double with every node.
        if (at(k, k)->contradicts_itself()) return std::nullopt;
        for (std::size_t i = 0; i < nodes_; ++i) {
            if (!at(i, k)) continue;
            for (std::size_t j = 0; j < nodes_; ++j) {
                if (at(k, j)) tighten(at(i, j), *at(i, k) + *at(k, j));
            }
        }
        for (std::size_t i = 0; i < nodes_; ++i) {
            if (at(i, i)->contradicts_itself()) return std::nullopt;
        }
    }
    return result;
}

std::vector<EdgeId> Network::contradiction() const {
    std::vector<Walks> walks;
    for (std::size_t i = 0; i < nodes_; ++i)
        walks.emplace_back(nodes_, edges_, i);
    // A contradiction that returns first in this layer visits no node twice: a closed part of it would be a
    // contradiction of fewer edges, or could be left out.
    for (std::size_t k = 0; k < nodes_; ++k) {
        for (Walks& from : walks) {
            if (from.step()) return from.way_back();
        }
    }
    return {};
}

}  // namespace plumbmark::ruling
