// Contradictions that only the tightest of several bounds between two instants shows: the cycle is a negative
// one (Dechter, Meiri & Pearl 1991, theorem 2.1), worked out by hand.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <csignal>
#include <string>
#include <vector>

#include "ruling/network.h"

using namespace plumbmark;
using namespace plumbmark::ruling;

namespace {

/// Whether this ends the program by a broken invariant, and says so; tried in a process of its own.
template <class Act>
bool stops_the_program(Act&& act) {
    int ends[2] = {-1, -1};
    REQUIRE(pipe(ends) == 0);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        std::signal(SIGABRT, SIG_DFL);
        dup2(ends[1], STDERR_FILENO);
        act();
        _exit(0);
    }
    close(ends[1]);
    std::string said;
    char some[256];
    for (ssize_t n = 0; (n = read(ends[0], some, sizeof(some))) > 0;)
        said.append(some, static_cast<std::size_t>(n));
    close(ends[0]);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    return WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT &&
           said.find("broken invariant") != std::string::npos;
}

}  // namespace

TEST_CASE(
    "of two bounds between the same instants the tighter one makes the contradiction, wherever it stands",
    "[network]") {
    for (const bool tight_first : {false, true}) {
        Network network;
        const NodeId a = network.add_node(), b = network.add_node(), c = network.add_node();
        const EdgeId first = network.add_bound(a, b, Bound::at_most({tight_first ? -5 : 10}));
        const EdgeId second = network.add_bound(a, b, Bound::at_most({tight_first ? 10 : -5}));
        const EdgeId on = network.add_bound(b, c, Bound::at_most({1}));
        const EdgeId back = network.add_bound(c, a, Bound::at_most({3}));
        const EdgeId tight = tight_first ? first : second;
        CHECK_FALSE(network.consistent());
        const std::vector<EdgeId> cycle = network.contradiction();
        REQUIRE(cycle.size() == 3);
        for (const EdgeId edge : {tight, on, back})
            CHECK(std::find(cycle.begin(), cycle.end(), edge) != cycle.end());
    }
}

TEST_CASE("nodes and edges of no network, and bounds beyond the longest, stop the program", "[network]") {
    Network network;
    const NodeId a = network.add_node(), b = network.add_node();
    const EdgeId edge = network.add_bound(a, b, Bound::at_most({1}));
    const auto minimal = network.minimal();
    REQUIRE(minimal.has_value());
    CHECK_FALSE(stops_the_program([&] { static_cast<void>(minimal->upper(a, b)); }));
    CHECK_FALSE(stops_the_program([&] { static_cast<void>(network.edge(edge)); }));
    for (const NodeId none : {NodeId{2}, NodeId{}}) {
        CHECK(stops_the_program([&] { static_cast<void>(minimal->upper(none, a)); }));
        CHECK(stops_the_program([&] { static_cast<void>(minimal->upper(a, none)); }));
        CHECK(stops_the_program([&] { network.add_bound(none, a, Bound::at_most({1})); }));
        CHECK(stops_the_program([&] { network.add_bound(a, none, Bound::at_most({1})); }));
    }
    for (const EdgeId none : {EdgeId{1}, EdgeId{}})
        CHECK(stops_the_program([&] { static_cast<void>(network.edge(none)); }));
    constexpr std::int64_t kLongest = std::int64_t{1} << 52;
    for (const std::int64_t sign : {-1, 1}) {
        CHECK(stops_the_program([&] { network.add_bound(a, b, Bound::at_most({sign * kLongest})); }));
        CHECK_FALSE(
            stops_the_program([&] { network.add_bound(a, b, Bound::at_most({sign * (kLongest - 1)})); }));
    }
    while (network.node_count() < 1'000)
        static_cast<void>(network.add_node());
    CHECK(stops_the_program([&] { static_cast<void>(network.add_node()); }));
}
