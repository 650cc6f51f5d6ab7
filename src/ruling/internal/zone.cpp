#include "ruling/internal/zone.h"

#include <algorithm>

namespace plumbmark::ruling {

Zone::Zone(std::size_t nodes) : nodes_(nodes) {
    if (size() > kInside) outside_ = std::make_unique<Bound[]>(size());
    std::fill_n(cells(), size(), kNoBound);
    for (Node i = 0; i < nodes_; ++i)
        cell(i, i) = at_most(0);
}

Zone::Zone(const Zone& other) : nodes_(other.nodes_) {
    if (other.outside_) outside_ = std::make_unique_for_overwrite<Bound[]>(size());
    std::copy_n(other.cells(), size(), cells());
}

Zone::Zone(Zone&& other) noexcept : nodes_(other.nodes_), outside_(std::move(other.outside_)) {
    if (!outside_) std::copy_n(other.inside_.data(), size(), inside_.data());
}

Zone& Zone::operator=(const Zone& other) {
    if (this != &other) *this = Zone(other);
    return *this;
}

Zone& Zone::operator=(Zone&& other) noexcept {
    nodes_ = other.nodes_;
    outside_ = std::move(other.outside_);
    if (!outside_) std::copy_n(other.inside_.data(), size(), inside_.data());
    return *this;
}

bool operator==(const Zone& a, const Zone& b) {
    return a.nodes_ == b.nodes_ && std::equal(a.cells(), a.cells() + a.size(), b.cells());
}

bool Zone::allows(Node i, Node j, Bound bound) const {
    return sum(bound, this->bound(j, i)) >= at_most(0);
}

bool Zone::tighten(Node i, Node j, Bound bound) {
    if (bound >= cell(i, j)) return true;
    if (!allows(i, j, bound)) return false;
    const Bound* from_j = cells() + j * nodes_;
    for (Node p = 0; p < nodes_; ++p) {
        Bound* from_p = cells() + p * nodes_;
        const Bound to_i = sum(from_p[i], bound);
        if (to_i == kNoBound) continue;
        for (Node q = 0; q < nodes_; ++q)
            from_p[q] = std::min(from_p[q], sum(to_i, from_j[q]));
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

bool Zone::includes(const Zone& other) const {
    const Bound* ours = cells();
    const Bound* theirs = other.cells();
    for (std::size_t k = 0; k < size(); ++k) {
        if (theirs[k] > ours[k]) return false;
    }
    return true;
}

}  // namespace plumbmark::ruling
