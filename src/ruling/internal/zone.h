// A zone: all assignments of times to a few nodes that satisfy bounds on their differences, strict or not,
// kept in closed form (Dill 1989, 'Timing assumptions and verification of finite-state concurrent systems';
// the packing of a bound into one integer is that of Bengtsson & Yi 2004, 'Timed automata: semantics,
// algorithms and tools').
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>

namespace plumbmark::ruling {

/// An upper bound on a difference in nanoseconds: twice the value, plus one when the value itself is allowed.
using Bound = std::int64_t;
inline constexpr Bound kNoBound = std::numeric_limits<std::int64_t>::max();
constexpr Bound at_most(std::int64_t ns) {
    return 2 * ns + 1;
}
constexpr Bound below(std::int64_t ns) {
    return 2 * ns;
}
constexpr Bound sum(Bound a, Bound b) {
    return a == kNoBound || b == kNoBound ? kNoBound : a + b - ((a & 1) | (b & 1));
}
/// The nanoseconds of a bound, rounded towards minus infinity where the value is not allowed does not matter
/// here.
constexpr std::int64_t bound_value(Bound b) {
    return b >> 1;
}

/// Small zones, which are nearly all, lie inside the object: a search makes and copies them by the thousand.
class Zone {
  public:
    using Node = std::size_t;

    /// All nodes unbounded against each other.
    explicit Zone(std::size_t nodes);
    Zone(const Zone& other);
    Zone(Zone&& other) noexcept;
    Zone& operator=(const Zone& other);
    Zone& operator=(Zone&& other) noexcept;
    ~Zone() = default;

    /// Adds x_i - x_j <= bound. False when nothing is left; the zone is then not to be used any more.
    [[nodiscard]] bool tighten(Node i, Node j, Bound bound);
    [[nodiscard]] Bound bound(Node i, Node j) const { return cells()[i * nodes_ + j]; }
    /// True when x_i - x_j <= bound can hold together with the zone.
    [[nodiscard]] bool allows(Node i, Node j, Bound bound) const;

    /// Lets node i take any value (projects it out).
    void forget(Node i);
    /// x_i takes the value of x_j.
    void assign(Node i, Node j);
    /// x_i moves to any later time: strictly later, or not earlier.
    void advance(Node i, bool strictly);

    /// Every assignment of 'other' is one of this zone.
    [[nodiscard]] bool includes(const Zone& other) const;
    [[nodiscard]] std::size_t nodes() const { return nodes_; }
    friend bool operator==(const Zone& a, const Zone& b);

  private:
    static constexpr std::size_t kInside = 49;  // seven nodes

    [[nodiscard]] std::size_t size() const { return nodes_ * nodes_; }
    [[nodiscard]] Bound* cells() { return outside_ ? outside_.get() : inside_.data(); }
    [[nodiscard]] const Bound* cells() const { return outside_ ? outside_.get() : inside_.data(); }
    Bound& cell(Node i, Node j) { return cells()[i * nodes_ + j]; }

    std::size_t nodes_;
    std::unique_ptr<Bound[]> outside_;  ///< null: the cells lie in inside_
    std::array<Bound, kInside> inside_;
};

}  // namespace plumbmark::ruling
