// Flight and swing against published examples, and the runs' speeds against the solver's bound.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "contacts.h"
#include "runs.h"

using namespace plumbmark::scene;

namespace {

// A path launched with a speed at an angle, landing at the height it left.
Path launched(double speed, double degrees, double seconds) {
    const double a = degrees * kPi / 180;
    const Vec3 v{speed * std::cos(a), 0, speed * std::sin(a)};
    Path path;
    path.fly(0, {}, seconds, v * seconds - Vec3{0, 0, 0.5 * kGravity * seconds * seconds});
    path.finish();
    return path;
}

}  // namespace

TEST_CASE("A flight path has the published range, height and time of the long jump example") {
    // Serway, long jump: 11.0 m/s at 20 degrees: range 7.94 m, height 0.722 m, time 0.768 s, there with g
    // = 9.80; at 9.80665 these are 0.07 % smaller.
    const double scale = 9.80 / kGravity;
    const Path jump = launched(11.0, 20, 0.768 * scale);
    REQUIRE(jump.at(0.768 * scale).x == Approx(7.94 * scale).margin(0.006));
    REQUIRE(jump.at(0.768 * scale).z == Approx(0).margin(0.003));
    REQUIRE(jump.at(0.384 * scale).z == Approx(0.722 * scale).margin(0.0006));
    REQUIRE(jump.velocity(0.384 * scale).z == Approx(0).margin(0.005));
}

TEST_CASE("A flight path is the one parabola through both its ends, at every moment") {
    const Vec3 from{1.1, 0.2, 1.4};
    const Vec3 to{2.3, -0.1, 0.9};
    Path path;
    path.knot(0.5, from - Vec3{0.3, 0, 0}, {});
    path.fly(1.0, from, 1.37, to);
    path.finish();
    const Vec3 v = launch_velocity(from, to, 0.37);
    for (int i = 0; i <= 100; ++i) {
        const double h = 0.37 * i / 100;
        const Vec3 expected = from + v * h - Vec3{0, 0, 0.5 * kGravity * h * h};
        REQUIRE(length(path.at(1.0 + h) - expected) < 1e-12);
    }
}

TEST_CASE("The pendulum keeps its energy and has the period of the published series") {
    // Period of a pendulum: 2 pi sqrt(L/g) (1 + a^2/16 + 11 a^4/3072 + 173 a^6/737280), a the largest angle
    // (the usual series of the complete elliptic integral).
    const double length = 3.1;
    for (const double a : {0.1, 0.35, 0.6}) {
        Swing s{a, 0};
        const double energy = -kGravity / length * std::cos(a);
        double t = 0;
        const double step = 0.001;
        while (s.angle > 0) {
            s = swing_on(s, length, 0, step);
            t += step;
            REQUIRE(0.5 * s.rate * s.rate - kGravity / length * std::cos(s.angle) ==
                    Approx(energy).margin(1e-10));
        }
        const double quarter = t + s.angle / -s.rate;  // back to the moment it hung straight
        const double series = 1 + a * a / 16 + 11 * std::pow(a, 4) / 3072 + 173 * std::pow(a, 6) / 737280;
        REQUIRE(4 * quarter == Approx(2 * kPi * std::sqrt(length / kGravity) * series).epsilon(2e-6));
    }
}

TEST_CASE("In the air the athletes' centres of mass fall with standard gravity") {
    // The flights of run 1: from leaving the pier deck to the first bollard, and from the hawser to the
    // gantry deck.
    const Run& run = runs().front();
    int flying = 0;
    for (double t = 1.8; t < 2.0; t += 0.01) {
        const double h = 0.004;
        const Vec3 a =
            (run.moves.pelvis.at(t + h) - run.moves.pelvis.at(t) * 2 + run.moves.pelvis.at(t - h)) / (h * h);
        REQUIRE(a.z == Approx(-kGravity).margin(1e-6));
        REQUIRE(a.x == Approx(0).margin(1e-6));
        ++flying;
    }
    REQUIRE(flying > 15);
}

TEST_CASE("No limb of any run comes near the speed that the contact solver allows for") {
    constexpr Part kAll[] = {Part::left_hand, Part::right_hand, Part::left_foot, Part::right_foot,
                             Part::other};
    for (const Run& run : runs()) {
        for (const Part part : kAll) {
            auto before = contact_solids(skeleton_of(run.moves.posture(0)), part);
            const double step = 0.0005;
            double fastest = 0;
            for (double t = step; t < run.end; t += step) {
                const auto now = contact_solids(skeleton_of(run.moves.posture(t)), part);
                for (std::size_t i = 0; i < now.size(); ++i) {
                    fastest = std::max(fastest, length(now[i].a - before[i].a) / step);
                    fastest = std::max(fastest, length(now[i].b - before[i].b) / step);
                }
                before = now;
            }
            INFO(run.key << " " << name_of(part) << " " << fastest << " m/s");
            REQUIRE(fastest < (part == Part::other ? kFastestJoint : kFastest) * 0.8);
            REQUIRE(fastest > 1.0);
        }
    }
}

TEST_CASE("No limb is lengthened by more than a twentieth to reach its place") {
    for (const Run& run : runs())
        for (double t = 0; t < run.end; t += 0.002)
            REQUIRE(skeleton_of(run.moves.posture(t)).stretch < 1.05);
}
