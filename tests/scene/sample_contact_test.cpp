// The contact solver against closed forms and the exact distances of solids.
#include <catch2/catch.hpp>
#include <cmath>

#include "camera.h"
#include "contacts.h"

using namespace plumbmark::scene;

TEST_CASE("A falling ball meets a plane when the closed form says, to a nanosecond") {
    const double radius = 0.11;
    const double height = 1.73;
    const auto gap = [&](double t) {
        const double z = height - 0.5 * kGravity * t * t;
        return gap_between({capsule({0.3, 0, z}, {0.3, 0, z}, radius)}, {box({-1, -1, -0.5}, {1, 1, 0})})
            .distance;
    };
    const auto roots = roots_of(gap, 0, 0.65);
    REQUIRE(roots.size() == 1);
    REQUIRE(roots[0].into);
    REQUIRE(std::fabs(roots[0].t - std::sqrt(2 * (height - radius) / kGravity)) < 1e-9);
}

TEST_CASE(
    "A ball thrown past a rung touches and leaves it at the roots of the quadratic, however short the "
    "touch") {
    // Straight past a cylinder at distance d from its axis: contact while |x| < sqrt((r+R)^2 - d^2).
    const double reach = 0.018 + 0.032;
    const double speed = 4;
    for (const double d : {0.0, 0.03, 0.0499, 0.0499999}) {
        const auto gap = [&](double t) {
            const Vec3 c{-1 + speed * t, 0.1, d};
            return gap_between({capsule(c, c, 0.032)}, {capsule({0, -0.5, 0}, {0, 0.5, 0}, 0.018)}).distance;
        };
        const auto roots = roots_of(gap, 0, 0.5);
        const double half = std::sqrt(reach * reach - d * d);
        REQUIRE(roots.size() == 2);
        REQUIRE(std::fabs(roots[0].t - (1 - half) / speed) < 2e-9);
        REQUIRE(std::fabs(roots[1].t - (1 + half) / speed) < 2e-9);
        REQUIRE(roots[0].into);
        REQUIRE_FALSE(roots[1].into);
    }
    const auto miss = [&](double t) {
        const Vec3 c{-1 + speed * t, 0.1, 0.0501};
        return gap_between({capsule(c, c, 0.032)}, {capsule({0, -0.5, 0}, {0, 0.5, 0}, 0.018)}).distance;
    };
    REQUIRE(roots_of(miss, 0, 0.5).empty());
}

TEST_CASE("The gap of a foot over a deck's edge is that of plane geometry") {
    const Shape deck = box({0, -0.6, 0.5}, {1, 0.6, 0.6});
    // Level over the deck: height minus radius, along the whole foot.
    REQUIRE(gap_between({capsule({0.2, 0, 0.66}, {0.4, 0, 0.66}, 0.036)}, {deck}).distance ==
            Approx(0.024).margin(1e-12));
    // Before the edge and below the top: the horizontal distance.
    REQUIRE(gap_between({capsule({-0.2, 0, 0.55}, {-0.05, 0, 0.55}, 0.036)}, {deck}).distance ==
            Approx(0.014).margin(1e-9));
    // Off the corner: the diagonal.
    const Gap corner = gap_between({capsule({-0.33, 0, 0.94}, {-0.03, 0, 0.64}, 0.036)}, {deck});
    REQUIRE(corner.distance == Approx(0.05 - 0.036).margin(1e-9));
    REQUIRE(corner.point.x == Approx(-0.03 + 0.6 * 0.036).margin(1e-5));
    REQUIRE(corner.point.z == Approx(0.64 - 0.8 * 0.036).margin(1e-5));
    // A foot across the edge rests on it.
    REQUIRE(gap_between({capsule({-0.1, 0, 0.632}, {0.06, 0, 0.632}, 0.036)}, {deck}).distance ==
            Approx(-0.004).margin(1e-9));
}

TEST_CASE("A camera that looks along an axis projects as the closed form says") {
    const Camera camera{{5, -14, 2}, {5, 0, 2}, 1640, 1280, 720};
    const auto p = project(camera, {6.5, 0.7, 3.1});
    REQUIRE(p);
    REQUIRE(p->x == Approx(640 + 1640 * 1.5 / 14.7).margin(1e-9));
    REQUIRE(p->y == Approx(360 - 1640 * 1.1 / 14.7).margin(1e-9));
    REQUIRE(p->depth == Approx(14.7).margin(1e-12));
    REQUIRE_FALSE(project(camera, {5, -14.2, 2}));
}

TEST_CASE("A tilted camera agrees with the matrix written out by hand") {
    // Looking down at 45 degrees along +y: right (1,0,0), forward (0,1,-1)/sqrt 2, down (0,-1,-1)/sqrt 2.
    const Camera camera{{0, 0, 4}, {0, 4, 0}, 1000, 1280, 720};
    const double r = std::sqrt(0.5);
    const Vec3 q{0.8, 2.2, 1.1};
    const double depth = r * (q.y - (q.z - 4));
    const auto p = project(camera, q);
    REQUIRE(p);
    REQUIRE(p->depth == Approx(depth).margin(1e-12));
    REQUIRE(p->x == Approx(640 + 1000 * q.x / depth).margin(1e-9));
    REQUIRE(p->y == Approx(360 + 1000 * r * (-q.y - (q.z - 4)) / depth).margin(1e-9));
    const Ray back = ray_through(camera, p->x, p->y);
    REQUIRE(length(cross(q - camera.at, back.along)) < 1e-12);
}

TEST_CASE("A ray meets each kind of solid where its exact distance is zero") {
    const Shape kinds[] = {box({-0.3, -0.2, -0.4}, {0.2, 0.5, 0.1}),
                           cylinder({0.1, -0.3, 0.2}, {-0.2, 0.4, -0.1}, 0.23),
                           capsule({0.2, 0.1, -0.2}, {-0.1, -0.3, 0.3}, 0.17)};
    int met = 0;
    for (const Shape& shape : kinds) {
        for (int i = 0; i < 4000; ++i) {
            const auto key = static_cast<std::uint64_t>(i) * 8;
            const auto unit_box = [&](std::uint64_t k) { return 2 * hash_unit(key + k) - 1; };
            const Vec3 from = unit(Vec3{unit_box(1), unit_box(2), unit_box(3)}) * 3;
            const Ray ray{from, unit(Vec3{unit_box(4), unit_box(5), unit_box(6)} * 0.4 - from)};
            const auto hit = intersect(shape, ray, 1e-4);
            if (!hit) continue;
            ++met;
            REQUIRE(std::fabs(signed_distance(shape, from + ray.along * hit->distance)) < 1e-9);
            REQUIRE(signed_distance(shape, from + ray.along * (hit->distance - 1e-3)) > 0);
            REQUIRE(dot(hit->normal, ray.along) < 1e-9);
        }
    }
    REQUIRE(met > 2000);
}
