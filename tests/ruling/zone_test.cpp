// Zones held to the time network, which closes bounds by the recurrence of Floyd and Warshall (network.h,
// with its own published checks): after any bounds both know the same differences, or both have nothing left.
// What changes one node is held to what Bengtsson & Yi 2004, section 4.1, say of it.
#include "ruling/internal/zone.h"

#include <catch2/catch.hpp>
#include <random>
#include <utility>
#include <vector>

#include "ruling/closed_bounds.h"

namespace plumbmark::ruling {
namespace {

// Within the object, just within, and outside.
const std::vector<std::size_t> kSizes{2, 4, 7, 8, 11};

/// A zone and the bounds that it was given.
struct Both {
    Zone zone;
    std::vector<test::PlainBound> bounds;
    bool left = true;

    explicit Both(std::size_t nodes) : zone(nodes) {}
    void tighten(std::size_t i, std::size_t j, std::int64_t ns, bool strict) {
        if (!left) return;
        const bool allowed = zone.allows(i, j, strict ? below(ns) : at_most(ns));
        left = zone.tighten(i, j, strict ? below(ns) : at_most(ns));
        CHECK(allowed == left);
        bounds.push_back({i, j, ns, strict});
    }
    void check() const {
        const auto closed = test::closed_bounds(zone.nodes(), bounds);
        REQUIRE(closed.has_value() == left);
        for (std::size_t i = 0; left && i < zone.nodes(); ++i) {
            for (std::size_t j = 0; j < zone.nodes(); ++j) {
                const auto& one = (*closed)[i * zone.nodes() + j];
                CHECK(zone.bound(i, j) ==
                      (one ? (one->strict ? below(one->ns) : at_most(one->ns)) : kNoBound));
            }
        }
    }
};

std::int64_t below_n(std::mt19937_64& engine, std::size_t n) {
    return static_cast<std::int64_t>(engine() % n);
}

Zone some_zone(std::size_t nodes, std::uint64_t seed) {
    std::mt19937_64 engine(seed);
    Zone zone(nodes);
    for (std::size_t k = 0; k < 2 * nodes; ++k) {
        const auto i = static_cast<std::size_t>(below_n(engine, nodes));
        const auto j = static_cast<std::size_t>(below_n(engine, nodes));
        // Always true of the assignment x_i = 10 i.
        const std::int64_t slack = 1 + below_n(engine, 30);
        const std::int64_t ns = 10 * (static_cast<std::int64_t>(i) - static_cast<std::int64_t>(j)) + slack;
        REQUIRE(zone.tighten(i, j, below_n(engine, 2) == 0 ? below(ns) : at_most(ns)));
    }
    return zone;
}

}  // namespace

TEST_CASE(
    "a zone knows the differences that the time network knows, and is empty where that contradicts itself",
    "[parts]") {
    int contradictions = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        std::mt19937_64 engine(seed);
        const std::size_t nodes = kSizes[seed % kSizes.size()];
        Both both(nodes);
        for (std::size_t k = 0; k < 3 * nodes; ++k) {
            const auto i = static_cast<std::size_t>(below_n(engine, nodes));
            const auto j = static_cast<std::size_t>(below_n(engine, nodes));
            if (i != j) both.tighten(i, j, below_n(engine, 40) - 8, below_n(engine, 2) == 0);
        }
        both.check();
        contradictions += both.left ? 0 : 1;
    }
    CHECK(contradictions > 5);
    CHECK(contradictions < 55);
}

TEST_CASE("a difference that must be below itself is nothing, and one that may be equal is left", "[parts]") {
    for (const std::size_t nodes : kSizes) {
        Zone zone(nodes);
        REQUIRE(zone.tighten(0, 1, at_most(5)));
        CHECK(zone.allows(1, 0, at_most(-5)));
        CHECK_FALSE(zone.allows(1, 0, below(-5)));
        CHECK_FALSE(zone.tighten(1, 0, below(-5)));
        CHECK(zone.tighten(1, 0, at_most(-5)));
        CHECK(zone.tighten(0, 1, at_most(5)));
        CHECK(zone.tighten(0, 1, kNoBound));
        CHECK_FALSE(zone.tighten(0, 1, below(5)));
    }
}

TEST_CASE("a node that is forgotten may be anywhere, and the others stay as they are", "[parts]") {
    for (const std::size_t nodes : kSizes) {
        const Zone before = some_zone(nodes, 7 + nodes);
        Zone zone = before;
        zone.forget(1);
        for (Zone::Node i = 0; i < nodes; ++i) {
            for (Zone::Node j = 0; j < nodes; ++j) {
                const bool free = (i == 1) != (j == 1);
                CHECK(zone.bound(i, j) == (free ? kNoBound : before.bound(i, j)));
            }
        }
    }
}

TEST_CASE("a node that takes another's value has all its differences", "[parts]") {
    for (const std::size_t nodes : kSizes) {
        const Zone before = some_zone(nodes, 3 + nodes);
        Zone zone = before;
        const Zone::Node last = nodes - 1;
        zone.assign(0, last);
        for (Zone::Node j = 0; j < nodes; ++j) {
            CHECK(zone.bound(0, j) == (j == 0 ? at_most(0) : before.bound(last, j)));
            CHECK(zone.bound(j, 0) == (j == 0 ? at_most(0) : before.bound(j, last)));
        }
        CHECK(zone.bound(0, last) == at_most(0));
        CHECK(zone.bound(last, 0) == at_most(0));
        Zone same = before;
        same.assign(last, last);
        CHECK(same == before);
    }
}

TEST_CASE("a node that moves on has no upper end and keeps its lower ones, strictly where it moved strictly",
          "[parts]") {
    for (const std::size_t nodes : kSizes) {
        const Zone before = some_zone(nodes, 11 + nodes);
        for (const bool strictly : {false, true}) {
            Zone zone = before;
            zone.advance(1, strictly);
            for (Zone::Node i = 0; i < nodes; ++i) {
                for (Zone::Node j = 0; j < nodes; ++j) {
                    Bound should = before.bound(i, j);
                    if (i == 1 && j != 1) should = kNoBound;
                    if (j == 1 && i != 1 && strictly && should != kNoBound) should &= ~Bound{1};
                    CHECK(zone.bound(i, j) == should);
                }
            }
        }
    }
}

TEST_CASE("a zone is copied and moved whole, whatever its size, and onto itself", "[parts]") {
    for (const std::size_t nodes : kSizes) {
        const Zone original = some_zone(nodes, nodes);
        Zone copy(original);
        CHECK(copy == original);
        Zone moved(std::move(copy));
        CHECK(moved == original);
        for (const std::size_t other : kSizes) {
            Zone assigned = some_zone(other, 99);
            assigned = original;
            CHECK(assigned == original);
            Zone taken(other);
            taken = Zone(original);
            CHECK(taken == original);
        }
        const Zone& itself = moved;
        moved = itself;
        CHECK(moved == original);
        // A copy is its own: what is done to it leaves the original as it was.
        Zone changed(original);
        changed.forget(0);
        CHECK(original == moved);
    }
    CHECK_FALSE(Zone(1) == Zone(2));
}

TEST_CASE("a zone includes itself and every narrower one, and no wider one", "[parts]") {
    for (const std::size_t nodes : kSizes) {
        const Zone wide = some_zone(nodes, 5 + nodes);
        CHECK(wide.includes(wide));
        // One cell narrower, wherever that cell lies.
        for (Zone::Node i = 0; i < nodes; ++i) {
            for (Zone::Node j = 0; j < nodes; ++j) {
                if (i == j) continue;
                Zone narrow = wide;
                const std::int64_t at = 10 * (static_cast<std::int64_t>(i) - static_cast<std::int64_t>(j));
                const Bound tight = at_most(at);
                REQUIRE(narrow.tighten(i, j, tight));
                CHECK(wide.includes(narrow));
                CHECK(narrow.includes(wide) == (narrow == wide));
                if (wide.bound(i, j) != tight) CHECK_FALSE(narrow == wide);
            }
        }
    }
}

}  // namespace plumbmark::ruling
