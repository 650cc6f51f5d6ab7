#include "ruling/internal/zone.h"

#include <algorithm>

#include "base/check.h"

namespace plumbmark::ruling {

Zone::Zone(std::size_t nodes) : nodes_(nodes), cells_(nodes * nodes, kNoBound) {
    for (Node i = 0; i < nodes_; ++i)
        cell(i, i) = at_most(0);
}

bool Zone::allows(Node i, Node j, Bound bound) const {
    return sum(bound, this->bound(j, i)) >= at_most(0);
}

bool Zone::tighten(Node i, Node j, Bound bound) {
    if (bound >= cell(i, j)) return true;
    if (!allows(i, j, bound)) return false;
    for (Node p = 0; p < nodes_; ++p) {
        const Bound to_i = sum(cell(p, i), bound);
        if (to_i == kNoBound) continue;
        for (Node q = 0; q < nodes_; ++q)
            cell(p, q) = std::min(cell(p, q), sum(to_i, cell(j, q)));
    }
    return true;
}

void Zone::forget(Node i) {
    for (Node q = 0; q < nodes_; ++q)
        cell(i, q) = cell(q, i) = kNoBound;
    cell(i, i) = at_most(0);
}

void Zone::assign(Node i, Node j) {
    if (i == j) return;
    for (Node q = 0; q < nodes_; ++q) {
        cell(i, q) = cell(j, q);
        cell(q, i) = cell(q, j);
    }
    cell(i, i) = cell(i, j) = cell(j, i) = at_most(0);
}

void Zone::advance(Node i, bool strictly) {
    for (Node q = 0; q < nodes_; ++q) {
        if (q == i) continue;
        cell(i, q) = kNoBound;
        // x_q - x_i <= c before; x_i grew, so the same bound holds, strictly where the growth was strict.
        if (strictly && cell(q, i) != kNoBound) cell(q, i) &= ~Bound{1};
    }
}

void Zone::assign_after(Node i, Node j, std::int64_t low, Bound high) {
    PLUMBMARK_CHECK(i != j);
    forget(i);
    PLUMBMARK_CHECK(tighten(j, i, at_most(-low)));
    if (high != kNoBound) PLUMBMARK_CHECK(tighten(i, j, high));
}

bool Zone::includes(const Zone& other) const {
    for (std::size_t k = 0; k < cells_.size(); ++k) {
        if (other.cells_[k] > cells_[k]) return false;
    }
    return true;
}

}  // namespace plumbmark::ruling
