// Ballistics: worked examples of school books, the laws of motion step by step, and bounds that hold.
#include "study/flight.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

using namespace plumbmark;
using namespace plumbmark::study;

namespace {

constexpr double kSchool = 9.80;

Flight flight_of(const Launch& launch) {
    const auto result = fly(launch);
    REQUIRE(result.ok());
    return *result;
}
double speed_for(double range, double angle) {
    const auto result = speed_for_range(range, angle, 0, kSchool);
    REQUIRE(result.ok());
    return *result;
}

}  // namespace

TEST_CASE("the long jumper of the school book flies as far and as high and as long") {
    // R. A. Serway, Physics for Scientists and Engineers: 11.0 m/s at 20.0 degrees.
    const Flight flight = flight_of({11.0, 20, 0, kSchool});
    CHECK(flight.range == Approx(7.94).margin(0.005).epsilon(0));
    CHECK(flight.rise == Approx(.722).margin(0.0005).epsilon(0));
    CHECK(flight.time == Approx(.768).margin(0.0005).epsilon(0));
    CHECK(flight.landing_speed == Approx(11.0).epsilon(1e-13));
    CHECK(flight.rise_distance == Approx(flight.range / 2).epsilon(1e-13));
}

TEST_CASE("the speed of a jump and what more speed brings are those of the school books") {
    // 7.80 m at 20 degrees, then 6 % faster.
    const double speed = speed_for(7.80, 20);
    CHECK(speed == Approx(10.9).margin(0.05).epsilon(0));
    CHECK(flight_of({1.06 * speed, 20, 0, kSchool}).range - 7.80 == Approx(.964).margin(0.0005).epsilon(0));
    // 7.72 m at 27.1 degrees, then 5 % faster.
    const double other = speed_for(7.72, 27.1);
    CHECK(other == Approx(9.66).margin(0.005).epsilon(0));
    CHECK(flight_of({1.05 * other, 27.1, 0, kSchool}).range - 7.72 == Approx(.791).margin(0.0005).epsilon(0));
    // A rise of 1.1 m with 6.5 m/s at the top.
    CHECK(*speed_for_rise(1.1, 6.5, kSchool) == Approx(8.0).margin(0.05).epsilon(0));
}

TEST_CASE("the shell of the school book rises and what is thrown from a height lands as published") {
    // OpenStax, University Physics 1, 4.3: a shell at 70.0 m/s and 75.0 degrees.
    const Flight shell = flight_of({70.0, 75, 0, kSchool});
    CHECK(shell.rise == Approx(233).margin(0.5).epsilon(0));
    CHECK(shell.rise_time == Approx(6.90).margin(0.005).epsilon(0));
    CHECK(shell.rise_distance == Approx(125).margin(0.5).epsilon(0));
    // 17.9 m/s at 26 degrees from 45.0 m: the inputs are published, the result follows from the laws of
    // motion.
    const Flight stone = flight_of({17.9, 26, 45.0, kSchool});
    CHECK(stone.time == Approx(3.94).margin(0.005).epsilon(0));
    CHECK(stone.landing_speed == Approx(34.7).margin(0.05).epsilon(0));
}

TEST_CASE("a flight is what the laws of motion make of it step by step") {
    std::mt19937_64 random(3);
    const auto between = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    for (int round = 0; round < 100; ++round) {
        const Launch launch{between(2, 12), between(20, 85), between(-0.1, 3), between(9.7, 9.9)};
        const auto found = fly(launch);
        if (!found) continue;
        const double turn = std::acos(-1) / 180;
        double x = 0, y = 0, up = launch.speed * std::sin(launch.angle * turn), time = 0, highest = 0;
        const double level = launch.speed * std::cos(launch.angle * turn);
        constexpr double kStep = 1e-5;
        while (up > 0 || y > -launch.drop) {
            x += level * kStep;
            y += up * kStep - launch.gravity * kStep * kStep / 2;
            up -= launch.gravity * kStep;
            time += kStep;
            highest = std::max(highest, y);
        }
        CHECK(found->range == Approx(x).margin(3e-4));
        CHECK(found->time == Approx(time).margin(3e-5));
        CHECK(found->rise == Approx(highest).margin(1e-6));
        CHECK(found->landing_speed == Approx(std::hypot(level, up)).margin(1e-3));
        // And the speed is found again from where it landed.
        const auto again = speed_for_range(found->range, launch.angle, launch.drop, launch.gravity);
        REQUIRE(again.ok());
        CHECK(*again == Approx(launch.speed).epsilon(1e-9));
    }
}

TEST_CASE("a flight keeps its energy and is symmetric about 45 degrees") {
    for (const double drop : {-0.5, 0.0, 1.5}) {
        const Flight flight = flight_of({8, 50, drop});
        CHECK(flight.landing_speed * flight.landing_speed ==
              Approx(64 + 2 * kStandardGravity * drop).epsilon(1e-13));
    }
    for (const double off : {5.0, 20.0, 40.0})
        CHECK(flight_of({8, 45 - off}).range == Approx(flight_of({8, 45 + off}).range).epsilon(1e-12));
    CHECK(flight_of({8, 90}).range == 0);
    CHECK(flight_of({8, 0, 1.25}).time == Approx(std::sqrt(2 * 1.25 / kStandardGravity)).epsilon(1e-13));
}

TEST_CASE("launches that are none or do not get there are refused with what is wrong") {
    const double none = std::numeric_limits<double>::quiet_NaN();
    const double endless = std::numeric_limits<double>::infinity();
    for (const Launch& launch : {Launch{0, 45}, Launch{-1, 45}, Launch{none, 45}, Launch{endless, 45},
                                 Launch{5, -1}, Launch{5, 91}, Launch{5, none}, Launch{5, 45, none},
                                 Launch{5, 45, -endless}, Launch{5, 45, 0, 0}, Launch{5, 45, 0, none}}) {
        const auto refused = fly(launch);
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.error().category == base::Category::bad_input);
    }
    // 5 m/s straight up rise 25 / 2g = 1.275 m.
    CHECK(fly({5, 90, -1.27}).ok());
    CHECK(fly({5, 90, -1.28}).error().category == base::Category::not_found);
    CHECK(speed_for_range(3, 0, 0, kSchool).error().category == base::Category::not_found);
    CHECK(speed_for_range(3, 90, 1, kSchool).error().category == base::Category::not_found);
    CHECK(speed_for_range(3, 30, -2, kSchool).error().category == base::Category::not_found);
    // tan 45 = 1: 1.6 m higher at 3 m is met on the way up, 1.4 m on the way down.
    CHECK(speed_for_range(3, 45, -1.6, kSchool).error().text() ==
          "At this angle it would still be rising at the landing: take a steeper one.");
    CHECK(speed_for_range(3, 45, -1.4, kSchool).ok());
    CHECK_FALSE(speed_for_range(0, 45, 0, kSchool).ok());
    CHECK_FALSE(speed_for_range(none, 45, 0, kSchool).ok());
    CHECK_FALSE(speed_for_rise(-0.1, 5, kSchool).ok());
    CHECK_FALSE(speed_for_rise(1, -1, kSchool).ok());
    CHECK_FALSE(speed_for_rise(1, 1, 0).ok());
}

TEST_CASE("bounds of a flight hold every launch within them and are each met by one") {
    std::mt19937_64 random(9);
    const auto between = [&](double low, double high) {
        return low == high ? low : std::uniform_real_distribution<double>(low, high)(random);
    };
    int flown = 0, turned = 0;
    for (int round = 0; round < 150; ++round) {
        const auto interval = [&](double low, double high, double width) {
            const double from = between(low, high);
            return Interval{from, from + between(0, width)};
        };
        LaunchWithin within{interval(3, 9, 2), interval(0, 70, 20), interval(-0.6, 2, 0.4),
                            interval(9.7, 9.8, 0.1)};
        const auto bounds = fly_within(within);
        if (!bounds) {
            // The weakest of them does not get there.
            CHECK(fly({within.speed.low, within.angle.low, within.drop.low, within.gravity.high})
                      .error()
                      .category == base::Category::not_found);
            continue;
        }
        ++flown;
        Interval range{1e9, -1e9}, rise = range, time = range, landing = range, rise_time = range;
        const auto add = [](Interval& into, double value) {
            into.low = std::min(into.low, value);
            into.high = std::max(into.high, value);
        };
        constexpr int kAngles = 400;
        double best = 0, longest = -1;
        for (int corner = 0; corner < 8; ++corner) {
            for (int i = 0; i <= kAngles; ++i) {
                const double angle = within.angle.low + within.angle.width() * i / kAngles;
                const Flight flight = flight_of({corner & 1 ? within.speed.high : within.speed.low, angle,
                                                 corner & 2 ? within.drop.high : within.drop.low,
                                                 corner & 4 ? within.gravity.high : within.gravity.low});
                add(range, flight.range);
                add(rise, flight.rise);
                add(rise_time, flight.rise_time);
                add(time, flight.time);
                add(landing, flight.landing_speed);
                if (flight.range > longest) {
                    longest = flight.range;
                    best = angle;
                }
            }
        }
        if (best > within.angle.low && best < within.angle.high) ++turned;
        const auto same = [](const Interval& found, const Interval& tried, double margin) {
            CHECK(found.low == Approx(tried.low).margin(1e-9));
            CHECK(found.high >= tried.high - 1e-12);
            CHECK(found.high == Approx(tried.high).margin(margin));
        };
        same(bounds->range, range, 1e-3);  // the longest lies between two of the angles tried
        same(bounds->rise, rise, 1e-9);
        same(bounds->rise_time, rise_time, 1e-9);
        same(bounds->time, time, 1e-9);
        same(bounds->landing_speed, landing, 1e-9);
        for (int i = 0; i < 50; ++i) {
            const Flight flight = flight_of({between(within.speed.low, within.speed.high),
                                             between(within.angle.low, within.angle.high),
                                             between(within.drop.low, within.drop.high),
                                             between(within.gravity.low, within.gravity.high)});
            const double rounding = 1e-12;
            CHECK(flight.range >= bounds->range.low - rounding);
            CHECK(flight.range <= bounds->range.high + rounding);
            CHECK(flight.time >= bounds->time.low - rounding);
            CHECK(flight.time <= bounds->time.high + rounding);
            CHECK(flight.landing_speed >= bounds->landing_speed.low - rounding);
            CHECK(flight.landing_speed <= bounds->landing_speed.high + rounding);
        }
    }
    CHECK(flown > 80);
    CHECK(turned > 10);  // the longest lies inside, where the angle's two ends would not do
}

TEST_CASE("bounds of one launch are its flight and ends that are changed round are refused") {
    const Flight flight = flight_of({8, 30, 0.4, kSchool});
    const auto exact = fly_within({{8, 8}, {30, 30}, {0.4, 0.4}, {kSchool, kSchool}});
    REQUIRE(exact.ok());
    CHECK(exact->range.low == flight.range);
    CHECK(exact->range.high == flight.range);
    CHECK(exact->time.low == flight.time);
    CHECK(exact->landing_speed.high == Approx(flight.landing_speed).epsilon(1e-14));
    CHECK(fly_within({{9, 8}, {30, 30}, {0, 0}, {9.8, 9.8}}).error().category == base::Category::bad_input);
    CHECK(fly_within({{8, 9}, {30, 95}, {0, 0}, {9.8, 9.8}}).error().category == base::Category::bad_input);
    CHECK(fly_within({{8, 9}, {30, 35}, {-3, 0}, {9.8, 9.8}}).error().text() ==
          "Not all of these launches rise as high as the landing.");

    const auto speed = speed_for_rise_within({1.0, 1.2}, {6, 7}, {9.80, 9.82});
    REQUIRE(speed.ok());
    CHECK(speed->low == *speed_for_rise(1.0, 6, 9.80));
    CHECK(speed->high == *speed_for_rise(1.2, 7, 9.82));
    CHECK(speed->low < speed->high);
    CHECK_FALSE(speed_for_rise_within({1.2, 1.0}, {6, 7}, {9.80, 9.82}).ok());
    CHECK_FALSE(speed_for_rise_within({-1, 1.0}, {6, 7}, {9.80, 9.82}).ok());
}
