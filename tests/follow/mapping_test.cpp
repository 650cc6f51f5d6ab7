#include "follow/mapping.h"

#include <catch2/catch.hpp>

using plumbmark::follow::Mapping;

TEST_CASE("a mapping and its inverse lead back to the same point") {
    const Mapping mapping{{1.1, 0.05, 30, -0.04, 0.97, -12, 2e-5, -3e-5, 1}};
    const auto back = mapping.inverse();
    REQUIRE(back);
    for (const plumbmark::follow::Point point : {plumbmark::follow::Point{0, 0}, {1919, 3}, {400.5, 1079}}) {
        const auto there = mapping(point);
        REQUIRE(there);
        const auto again = (*back)(*there);
        REQUIRE(again);
        CHECK((*again)[0] == Approx(point[0]).margin(1e-9));
        CHECK((*again)[1] == Approx(point[1]).margin(1e-9));
    }
}

TEST_CASE("a point behind the camera has no place in the picture") {
    const Mapping mapping{{1, 0, 0, 0, 1, 0, -0.001, 0, 1}};
    CHECK(mapping({999, 5}));
    CHECK_FALSE(mapping({1000, 5}));
    CHECK_FALSE(mapping({2000, 5}));
}

TEST_CASE("a mapping that flattens the picture has no way back") {
    CHECK_FALSE(Mapping{{1, 2, 0, 2, 4, 0, 0, 0, 1}}.inverse());
}
