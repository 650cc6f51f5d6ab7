// A Simple Temporal Network (Dechter, Meiri & Pearl, "Temporal constraint networks", Artificial Intelligence
// 49, 1991) with strict and non-strict bounds as in difference-bound matrices (Dill, "Timing assumptions and
// verification of finite-state concurrent systems", 1989). Integers in nanoseconds throughout; nothing is
// rounded.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/time.h"

namespace plumbmark::ruling {

/// An instant whose place the network bounds: an event, a clip's offset, a deadline. Counts from 0.
using NodeId = base::Id<struct NodeTag>;
/// One bound as it was added. Counts from 0 in the order of adding.
using EdgeId = base::Id<struct EdgeTag>;

/// An upper end: 'at most ns', or 'less than ns' where strict. Ordered by tightness, the tighter one being
/// less.
struct Bound {
    std::int64_t ns = 0;
    bool strict = false;

    [[nodiscard]] static Bound at_most(base::Duration d) { return {d.ns, false}; }
    [[nodiscard]] static Bound less_than(base::Duration d) { return {d.ns, true}; }

    /// The bound that holds for a + b when one holds for a and the other for b.
    friend Bound operator+(Bound a, Bound b) { return {a.ns + b.ns, a.strict || b.strict}; }
    friend bool operator==(Bound, Bound) = default;
    friend std::strong_ordering operator<=>(Bound a, Bound b) {
        if (a.ns != b.ns) return a.ns <=> b.ns;
        return static_cast<int>(b.strict) <=> static_cast<int>(a.strict);
    }
    /// True when 'x - x' cannot keep this bound: a cycle with this sum is a contradiction.
    [[nodiscard]] bool contradicts_itself() const { return ns < 0 || (ns == 0 && strict); }
};

/// to - from is bounded by upper.
struct NetworkEdge {
    NodeId from;
    NodeId to;
    Bound upper;
    friend bool operator==(const NetworkEdge&, const NetworkEdge&) = default;
};

/// The d-graph of a consistent network: for each ordered pair the tightest bound that all bounds together
/// imply. Every bound in it is attained, or approached without limit where it is strict.
class MinimalNetwork {
  public:
    /// The least upper bound of to - from; none when nothing bounds it.
    [[nodiscard]] std::optional<Bound> upper(NodeId from, NodeId to) const;
    /// The greatest lower bound of to - from, with 'strict' where the difference never gets down to it.
    [[nodiscard]] std::optional<Bound> lower(NodeId from, NodeId to) const;
    /// Each node's lower end, or upper end, counted from the origin. Where no end is strict, all lower ends
    /// together are a solution (the earliest) and all upper ends together too (the latest): section 3 of the
    /// 1991 paper.
    [[nodiscard]] std::vector<std::optional<Bound>> earliest(NodeId origin) const;
    [[nodiscard]] std::vector<std::optional<Bound>> latest(NodeId origin) const;

  private:
    friend class Network;
    std::size_t nodes_ = 0;
    std::vector<std::optional<Bound>> upper_;  // row 'from', column 'to'
};

/// Bounds on differences of instants. A plain value: copies are independent, const members may be called from
/// several threads. At most 1,000 nodes, and bounds of less than 2^52 ns (52 days) either way; more stops the
/// program.
class Network {
  public:
    [[nodiscard]] NodeId add_node();
    [[nodiscard]] std::size_t node_count() const { return nodes_; }

    /// States to - from <= upper (or < where strict). Both nodes must be of this network. Adding never fails:
    /// a contradiction is found when it is asked for.
    EdgeId add_bound(NodeId from, NodeId to, Bound upper);
    /// States lower <= to - from <= upper, both ends attained: two edges, the upper end's first.
    void add_closed(NodeId from, NodeId to, base::Duration lower, base::Duration upper);
    /// States lower < to - from <= upper, as a mark's bracket does: two edges, the upper end's first.
    void add_bracket(NodeId from, NodeId to, base::Duration lower, base::Duration upper);

    [[nodiscard]] const NetworkEdge& edge(EdgeId id) const;
    [[nodiscard]] std::size_t edge_count() const { return edges_.size(); }

    /// True when there is an instant for every node that keeps every bound.
    [[nodiscard]] bool consistent() const { return minimal().has_value(); }
    /// The d-graph by the Floyd-Warshall recurrence, n^3 steps; none when the network is inconsistent.
    [[nodiscard]] std::optional<MinimalNetwork> minimal() const;
    /// A cycle of edges whose bounds add up to a contradiction, each beginning where the one before ended; of
    /// all such cycles one with the fewest edges, so that it names no bound that it does not need. Empty when
    /// the network is consistent. n^2 steps times edges at most.
    [[nodiscard]] std::vector<EdgeId> contradiction() const;

  private:
    std::size_t nodes_ = 0;
    std::vector<NetworkEdge> edges_;
};

}  // namespace plumbmark::ruling
