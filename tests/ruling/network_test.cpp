// The time network held to published examples: Dechter, Meiri & Pearl, "Temporal constraint networks",
// Artificial Intelligence 49 (1991), Example 1.1 (section 1.1 of the published check values), Allen,
// "Maintaining knowledge about temporal intervals", CACM 26 (1983), the composition table (1.3), and cases in
// the shape of this tool (1.4), with ends strict as docs/rulings.md says.
#include "ruling/network.h"

#include <catch2/catch.hpp>
#include <map>
#include <set>
#include <string>

using namespace plumbmark;
using namespace plumbmark::ruling;

namespace {

constexpr std::int64_t kMinute = 60'000'000'000;

base::Duration minutes(std::int64_t m) {
    return {m * kMinute};
}

// Minutes of a non-strict bound; anything else is a mistake of the test's subject and made visible as such.
std::int64_t in_minutes(std::optional<Bound> bound) {
    REQUIRE(bound.has_value());
    REQUIRE_FALSE(bound->strict);
    REQUIRE(bound->ns % kMinute == 0);
    return bound->ns / kMinute;
}

using Interval = std::pair<std::int64_t, std::int64_t>;

// X0 = 7:00, X1 John leaves, X2 John arrives, X3 Fred leaves, X4 Fred arrives.
struct Carpool {
    Network network;
    std::vector<NodeId> x;

    // An upper end of -1 stands for 'no upper end'.
    Carpool(Interval john_rides, Interval fred_rides) {
        for (int i = 0; i < 5; ++i)
            x.push_back(network.add_node());
        add(0, 1, {10, 20});
        add(1, 2, john_rides);
        add(3, 2, {10, 20});
        add(3, 4, fred_rides);
        add(0, 4, {60, 70});
    }
    void add(std::size_t from, std::size_t to, Interval i) {
        if (i.second >= 0) {
            network.add_closed(x[from], x[to], minutes(i.first), minutes(i.second));
        } else {
            network.add_bound(x[to], x[from], Bound::at_most(minutes(-i.first)));
        }
    }
    Interval implied(std::size_t from, std::size_t to) const {
        const std::optional<MinimalNetwork> minimal = network.minimal();
        REQUIRE(minimal.has_value());
        return {in_minutes(minimal->lower(x[from], x[to])), in_minutes(minimal->upper(x[from], x[to]))};
    }
};

constexpr Interval kCar{30, 40};
constexpr Interval kBus{60, -1};
constexpr Interval kShort{20, 30};
constexpr Interval kPool{40, 50};

std::vector<std::int64_t> all_in_minutes(const std::vector<std::optional<Bound>>& bounds) {
    std::vector<std::int64_t> all;
    for (const std::optional<Bound>& bound : bounds)
        all.push_back(in_minutes(bound));
    return all;
}

// The bounds of a cycle add up, and each edge begins where the one before ended.
Bound sum_of_cycle(const Network& network, const std::vector<EdgeId>& cycle) {
    REQUIRE_FALSE(cycle.empty());
    Bound sum;
    for (std::size_t i = 0; i < cycle.size(); ++i) {
        const NetworkEdge& edge = network.edge(cycle[i]);
        REQUIRE(edge.to == network.edge(cycle[(i + 1) % cycle.size()]).from);
        sum = sum + edge.upper;
    }
    return sum;
}

}  // namespace

TEST_CASE("the 1991 carpool network has the published table of shortest paths", "[network]") {
    const Carpool carpool(kCar, kPool);
    const std::optional<MinimalNetwork> minimal = carpool.network.minimal();
    REQUIRE(minimal.has_value());
    const std::int64_t published[5][5] = {{0, 20, 50, 30, 70},
                                          {-10, 0, 40, 20, 60},
                                          {-40, -30, 0, -10, 30},
                                          {-20, -10, 20, 0, 50},
                                          {-60, -50, -20, -40, 0}};
    for (std::size_t i = 0; i < 5; ++i) {
        for (std::size_t j = 0; j < 5; ++j) {
            INFO("X" << i << " to X" << j);
            CHECK(in_minutes(minimal->upper(carpool.x[i], carpool.x[j])) == published[i][j]);
        }
    }
}

TEST_CASE("the 1991 carpool network has the published minimal network", "[network]") {
    const Carpool carpool(kCar, kPool);
    CHECK(carpool.implied(0, 1) == Interval{10, 20});
    CHECK(carpool.implied(0, 2) == Interval{40, 50});
    CHECK(carpool.implied(0, 3) == Interval{20, 30});
    CHECK(carpool.implied(0, 4) == Interval{60, 70});
    CHECK(carpool.implied(1, 2) == Interval{30, 40});
    CHECK(carpool.implied(1, 3) == Interval{10, 20});
    CHECK(carpool.implied(1, 4) == Interval{50, 60});
    CHECK(carpool.implied(2, 3) == Interval{-20, -10});
    CHECK(carpool.implied(2, 4) == Interval{20, 30});
    CHECK(carpool.implied(3, 4) == Interval{40, 50});
}

TEST_CASE("the 1991 carpool network has the published earliest and latest solutions", "[network]") {
    const Carpool carpool(kCar, kPool);
    const std::optional<MinimalNetwork> minimal = carpool.network.minimal();
    REQUIRE(minimal.has_value());
    CHECK(all_in_minutes(minimal->earliest(carpool.x[0])) == std::vector<std::int64_t>{0, 10, 40, 20, 60});
    CHECK(all_in_minutes(minimal->latest(carpool.x[0])) == std::vector<std::int64_t>{0, 20, 50, 30, 70});
    CHECK(carpool.network.contradiction().empty());
}

TEST_CASE("John by car and Fred by the short way is consistent with the published intervals", "[network]") {
    const Carpool carpool(kCar, kShort);
    CHECK(carpool.implied(0, 1) == Interval{10, 20});
    CHECK(carpool.implied(0, 2) == Interval{40, 60});
    CHECK(carpool.implied(0, 3) == Interval{30, 50});
    CHECK(carpool.implied(0, 4) == Interval{60, 70});
    CHECK(carpool.implied(1, 2) == Interval{30, 40});
    CHECK(carpool.implied(3, 4) == Interval{20, 30});
    CHECK(carpool.implied(2, 4) == Interval{0, 20});
    CHECK(carpool.implied(1, 3) == Interval{10, 30});
    CHECK(carpool.implied(1, 4) == Interval{40, 60});
}

TEST_CASE("John by bus and Fred by the short way leaves one single solution", "[network]") {
    const Carpool carpool(kBus, kShort);
    CHECK(carpool.implied(0, 1) == Interval{10, 10});
    CHECK(carpool.implied(0, 2) == Interval{70, 70});
    CHECK(carpool.implied(0, 3) == Interval{50, 50});
    CHECK(carpool.implied(0, 4) == Interval{70, 70});
}

TEST_CASE("John by bus and Fred in the carpool is the contradiction of the paper, named by its edges",
          "[network]") {
    const Carpool carpool(kBus, kPool);
    CHECK_FALSE(carpool.network.consistent());
    CHECK_FALSE(carpool.network.minimal().has_value());
    const std::vector<EdgeId> cycle = carpool.network.contradiction();
    CHECK(sum_of_cycle(carpool.network, cycle).contradicts_itself());
    // By bus John is there 70 minutes after 7:00 at the earliest; Fred left at most 20 minutes before that
    // and rides at least 40, which makes 90; but he is there after 70 at the latest.
    CHECK(cycle.size() == 5);
    CHECK(sum_of_cycle(carpool.network, cycle) == Bound::at_most(minutes(-20)));
}

TEST_CASE("the union of the labelings gives the published intervals of both disjunctive constraints",
          "[network]") {
    CHECK(Carpool(kCar, kShort).implied(1, 2) == Interval{30, 40});
    CHECK(Carpool(kCar, kPool).implied(1, 2) == Interval{30, 40});
    CHECK(Carpool(kBus, kShort).implied(1, 2) == Interval{60, 60});
    CHECK(Carpool(kCar, kShort).implied(3, 4) == Interval{20, 30});
    CHECK(Carpool(kCar, kPool).implied(3, 4) == Interval{40, 50});
    CHECK(Carpool(kBus, kShort).implied(3, 4) == Interval{20, 20});
}

namespace {

// Frame k of a camera with constant rate, rounded down as a frame table does.
base::Duration frame(std::int64_t k, std::int64_t rate) {
    return base::floor_to_time(k, {1, rate}) - base::Time{0};
}

// A contact in (f10, f11] and a release in (f100, f101] of one clip at 30 frames a second.
struct Hold {
    Network network;
    NodeId clip = network.add_node();
    NodeId contact = network.add_node();
    NodeId release = network.add_node();
    Hold() {
        network.add_bracket(clip, contact, frame(10, 30), frame(11, 30));
        network.add_bracket(clip, release, frame(100, 30), frame(101, 30));
    }
    // Whether some world holds for at least, or for less than, the asked length.
    bool can_last(base::Duration asked) const {
        Network with = network;
        with.add_bound(release, contact, Bound::at_most(-asked));
        return with.consistent();
    }
    bool can_fall_short(base::Duration asked) const {
        Network with = network;
        with.add_bound(contact, release, Bound::less_than(asked));
        return with.consistent();
    }
};

}  // namespace

TEST_CASE(
    "a hold marked between frames 10 and 11 and 100 and 101 lasts from 89/30 to 91/30 s, both ends open",
    "[network]") {
    const Hold hold;
    const std::optional<MinimalNetwork> minimal = hold.network.minimal();
    REQUIRE(minimal.has_value());
    CHECK(minimal->lower(hold.contact, hold.release) == Bound{2'966'666'667, true});
    CHECK(minimal->upper(hold.contact, hold.release) == Bound{3'033'333'333, true});
}

TEST_CASE("that hold may or may not reach 3 s, surely reaches 2.9 s, and surely falls short of 3.1 s",
          "[network]") {
    const Hold hold;
    CHECK(hold.can_last({3'000'000'000}));
    CHECK(hold.can_fall_short({3'000'000'000}));
    CHECK(hold.can_last({2'900'000'000}));
    CHECK_FALSE(hold.can_fall_short({2'900'000'000}));
    CHECK_FALSE(hold.can_last({3'100'000'000}));
    CHECK(hold.can_fall_short({3'100'000'000}));
}

TEST_CASE("a hold of exactly the largest difference is not reached, for the bracket's early end is open",
          "[network]") {
    const Hold hold;
    CHECK_FALSE(hold.can_last({3'033'333'333}));
    CHECK(hold.can_last({3'033'333'332}));
    CHECK_FALSE(hold.can_fall_short({2'966'666'667}));
    CHECK(hold.can_fall_short({2'966'666'668}));
}

TEST_CASE("a hold seen from two cameras is widened by what is unknown of their offset", "[network]") {
    Network network;
    const NodeId a = network.add_node();
    const NodeId b = network.add_node();
    const NodeId contact = network.add_node();
    const NodeId release = network.add_node();
    network.add_bracket(a, contact, frame(10, 30), frame(11, 30));
    network.add_bracket(b, release, frame(201, 60), frame(202, 60));
    // What clock B shows minus what clock A shows lies in [-0.010, +0.020]; so B's zero lies that much before
    // A's.
    network.add_closed(b, a, {-10'000'000}, {20'000'000});
    const std::optional<MinimalNetwork> minimal = network.minimal();
    REQUIRE(minimal.has_value());
    // Published: 2.963333 to 3.043333 s.
    CHECK(minimal->lower(contact, release) == Bound{2'963'333'334, true});
    CHECK(minimal->upper(contact, release) == Bound{3'043'333'333, true});
}

TEST_CASE("a loose offset does not loosen the order of two events on one clip", "[network]") {
    Hold hold;
    const NodeId run = hold.network.add_node();
    hold.network.add_closed(run, hold.clip, {-10'000'000}, {20'000'000});
    const std::optional<MinimalNetwork> minimal = hold.network.minimal();
    REQUIRE(minimal.has_value());
    CHECK(minimal->lower(hold.contact, hold.release) == Bound{2'966'666'667, true});
    CHECK(minimal->upper(hold.contact, hold.release) == Bound{3'033'333'333, true});
    CHECK(minimal->upper(run, hold.contact) == Bound{386'666'666, false});
}

TEST_CASE("a release marked before its contact is a contradiction that names the bounds it rests on",
          "[network]") {
    Network network;
    const NodeId clip = network.add_node();
    const NodeId contact = network.add_node();
    const NodeId release = network.add_node();
    const NodeId bystander = network.add_node();
    network.add_bracket(clip, bystander, frame(1, 30), frame(2, 30));
    network.add_bracket(clip, contact, frame(40, 30), frame(41, 30));
    const EdgeId contact_after{static_cast<std::int64_t>(network.edge_count()) - 1};
    network.add_bracket(clip, release, frame(10, 30), frame(11, 30));
    const EdgeId release_by{static_cast<std::int64_t>(network.edge_count()) - 2};
    const EdgeId order = network.add_bound(release, contact, Bound::less_than({0}));
    CHECK_FALSE(network.consistent());
    const std::vector<EdgeId> cycle = network.contradiction();
    CHECK(std::set<EdgeId>(cycle.begin(), cycle.end()) == std::set<EdgeId>{contact_after, release_by, order});
    CHECK(cycle.size() == 3);
    CHECK(sum_of_cycle(network, cycle) == Bound{frame(11, 30).ns - frame(40, 30).ns, true});
}

TEST_CASE("a cycle that adds up to nothing is a contradiction exactly when one of its ends is open",
          "[network]") {
    for (const bool strict : {false, true}) {
        Network network;
        const NodeId first = network.add_node();
        const NodeId second = network.add_node();
        network.add_bound(first, second, Bound::at_most({5}));
        network.add_bound(second, first, Bound{-5, strict});
        CHECK(network.consistent() == !strict);
        CHECK(network.contradiction().size() == (strict ? 2U : 0U));
    }
}

TEST_CASE("of two contradictions the one that rests on fewer bounds is named", "[network]") {
    Network network;
    std::vector<NodeId> ring;
    for (int i = 0; i < 6; ++i)
        ring.push_back(network.add_node());
    for (std::size_t i = 0; i < 6; ++i)
        network.add_bound(ring[i], ring[(i + 1) % 6], Bound::at_most({-1'000}));
    const EdgeId there = network.add_bound(ring[1], ring[4], Bound::at_most({3}));
    const EdgeId back = network.add_bound(ring[4], ring[1], Bound::at_most({-4}));
    const std::vector<EdgeId> cycle = network.contradiction();
    CHECK(std::set<EdgeId>(cycle.begin(), cycle.end()) == std::set<EdgeId>{there, back});
}

namespace {

// Allen's thirteen relations by the order of the four endpoints (p m o F D s e S d f O M P; capitals are
// converses). Each word gives, for (a-, b-), (a-, b+), (a+, b-), (a+, b+), whether the first is before, equal
// to or after.
const std::map<char, std::string> kAllen{
    {'p', "<<<<"}, {'m', "<<=<"}, {'o', "<<><"}, {'F', "<<>="}, {'D', "<<>>"}, {'s', "=<><"}, {'e', "=<>="},
    {'S', "=<>>"}, {'d', "><><"}, {'f', "><>="}, {'O', "><>>"}, {'M', ">=>>"}, {'P', ">>>>"}};
const std::string kOrder = "pmoFDseSdfOMP";

struct Span {
    NodeId begin;
    NodeId end;
};

void order(Network& network, NodeId a, NodeId b, char sign) {
    if (sign == '<') network.add_bound(b, a, Bound::less_than({0}));
    if (sign == '>') network.add_bound(a, b, Bound::less_than({0}));
    if (sign == '=') network.add_closed(a, b, {0}, {0});
}

void relate(Network& network, Span a, Span b, char relation) {
    const std::string& signs = kAllen.at(relation);
    order(network, a.begin, b.begin, signs[0]);
    order(network, a.begin, b.end, signs[1]);
    order(network, a.end, b.begin, signs[2]);
    order(network, a.end, b.end, signs[3]);
}

// All relations that a can have to c when a is 'first' to b and b is 'second' to c.
std::string composed(char first, char second) {
    std::string possible;
    for (const char third : kOrder) {
        Network network;
        std::vector<Span> spans;
        for (int i = 0; i < 3; ++i) {
            const NodeId begin = network.add_node();
            const NodeId end = network.add_node();
            spans.push_back({begin, end});
            order(network, begin, end, '<');
        }
        relate(network, spans[0], spans[1], first);
        relate(network, spans[1], spans[2], second);
        relate(network, spans[0], spans[2], third);
        if (network.consistent()) possible.push_back(third);
    }
    return possible;
}

}  // namespace

TEST_CASE("strict and closed bounds together give Allen's table of 1983", "[network]") {
    const std::map<std::string, std::string> published{
        {"pp", "p"},    {"pd", "pmosd"}, {"pP", kOrder},  {"mm", "p"},         {"ms", "m"},
        {"md", "osd"},  {"mM", "Fef"},   {"mP", "DSOMP"}, {"oo", "pmo"},       {"oD", "pmoFD"},
        {"od", "osd"},  {"os", "o"},     {"oS", "oFD"},   {"oO", "oFDseSdfO"}, {"dd", "d"},
        {"dD", kOrder}, {"do", "pmosd"}, {"dO", "dfOMP"}, {"Dd", "oFDseSdfO"}, {"DD", "D"},
        {"ss", "s"},    {"sS", "seS"},   {"sd", "d"},     {"sD", "pmoFD"},     {"fF", "Fef"},
        {"fd", "d"},    {"Fd", "osd"},   {"Mm", "seS"},   {"MM", "P"},         {"Op", "pmoFD"}};
    for (const auto& [pair, relations] : published) {
        INFO(pair[0] << " then " << pair[1]);
        CHECK(composed(pair[0], pair[1]) == relations);
    }
}

TEST_CASE("Allen's whole table has the published counts", "[network]") {
    std::size_t entries = 0;
    std::size_t single = 0;
    std::size_t full = 0;
    std::set<std::string> distinct;
    for (const char first : kOrder) {
        for (const char second : kOrder) {
            const std::string cell = composed(first, second);
            entries += cell.size();
            single += cell.size() == 1 ? 1 : 0;
            full += cell.size() == 13 ? 1 : 0;
            distinct.insert(cell);
        }
    }
    CHECK(entries == 409);
    CHECK(single == 97);
    CHECK(full == 3);
    CHECK(distinct.size() == 27);
}
