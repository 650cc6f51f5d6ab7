// Where to put a camera: what the map promises against what calibrations and measurements there give.
#include "sight/placing.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "sight/internal/chi_square.h"
#include "sight/internal/placing_design.h"
#include "sight/uncertain.h"
#include "support/sanitized.h"

using namespace plumbmark;
using namespace plumbmark::sight;

namespace {

/// Two decks on either side of a plane at x = 0, and a post on each, all of it its own mirror image in x and
/// in y.
PlacingPlan pier_plan() {
    PlacingPlan plan;
    for (const double side : {-1.0, 1.0})
        for (const double across : {-1.0, 1.0}) {
            const std::string which =
                std::string(side < 0 ? "pier" : "coil") + (across < 0 ? " near" : " far");
            plan.places.push_back({which + " inner", {side * 0.6, across * 0.6, 0.8}, 0.005});
            plan.places.push_back({which + " outer", {side * 1.8, across * 0.6, 0.8}, 0.005});
            plan.places.push_back({which + " post", {side * 1.8, across * 0.6, 1.9}, 0.005});
        }
    plan.plane.ends = {PlaneEnd{0, -0.6, 0.004, {}}, PlaneEnd{0, 0.6, 0.004, {}}};
    plan.level = {0.8, 0.003, {}};
    plan.air_height = 1.2;
    plan.space = {0.9, 1.7, -0.3, 1.5};
    plan.lens = lens_with(70, 1920, 1080);
    plan.lens_standard = {0.001, 1, 0.002};
    plan.camera_height = 1.8;
    plan.floor = {-6, 6, -6, 6, 12, 12};
    return plan;
}

/// From two decks and no post, so that what is known lies in one plane.
PlacingPlan flat_plan() {
    PlacingPlan plan = pier_plan();
    plan.places.erase(std::remove_if(plan.places.begin(), plan.places.end(),
                                     [](const KnownPlace& place) { return place.at.z > 1; }),
                      plan.places.end());
    return plan;
}

PlaceWorth worth(const PlacingPlan& plan, FloorPlace place) {
    const auto found = worth_at(plan, place);
    INFO((found ? "" : found.error().text()));
    REQUIRE(found);
    return *found;
}

std::string reason(const PlaceWorth& worth) {
    return said(worth.calibration, worth);
}

/// What a calibration without noise says there.
CalibratedCamera calibrated(const PlacingPlan& plan, FloorPlace place) {
    const auto camera = aimed(plan, place);
    REQUIRE(camera);
    auto found = calibrate(sightings_of(plan, *camera));
    INFO((found ? "" : found.error().text()));
    REQUIRE(found);
    REQUIRE(found->suspects.empty());
    return std::move(*found);
}

Pointing pointed(const PlacingPlan& plan, const Camera& camera, Vec3 point) {
    const auto at = project(camera, point);
    REQUIRE(at);
    return {*at, plan.pointing, {}};
}

double half(const Distance& distance) {
    return (distance.likely.high - distance.likely.low) / 2;
}

}  // namespace

TEST_CASE("a plan that is its own mirror image has a map that is its own mirror image") {
    const PlacingPlan plan = pier_plan();
    const auto map = worth_map(plan);
    REQUIRE(map);
    REQUIRE(map->each.size() == 144);
    int calibrated = 0;
    for (std::size_t row = 0; row < 12; ++row)
        for (std::size_t column = 0; column < 12; ++column) {
            const PlaceWorth& one = map->each[row * 12 + column];
            for (const std::size_t other : {row * 12 + (11 - column), (11 - row) * 12 + column}) {
                const PlaceWorth& mirrored = map->each[other];
                INFO("cell " << row << ", " << column);
                CHECK(one.calibration == mirrored.calibration);
                CHECK(one.level == mirrored.level);
                CHECK(one.air == mirrored.air);
                CHECK(one.seen == mirrored.seen);
                if (std::isfinite(one.on_level))
                    CHECK(one.on_level == Approx(mirrored.on_level).epsilon(1e-6));
                if (std::isfinite(one.in_air)) CHECK(one.in_air == Approx(mirrored.in_air).epsilon(1e-6));
            }
            calibrated += one.calibrated ? 1 : 0;
        }
    CHECK(calibrated > 100);
    // The same again, to the last digit.
    const auto again = worth_map(plan);
    REQUIRE(again);
    CHECK(again->each == map->each);
}

TEST_CASE("a camera in the plane settles what is in the air and one square to it does not") {
    PlacingPlan plan = pier_plan();
    for (KnownPlace& place : plan.places)
        place.tolerance = 0;
    for (PlaneEnd& end : plan.plane.ends)
        end.tolerance = 0;
    plan.lens_standard = {};
    const PlaceWorth in_plane = worth(plan, {0, -6}), square = worth(plan, {-6, 0});
    REQUIRE(in_plane.calibrated);
    REQUIRE(square.calibrated);
    // Of pointing alone: its angle, as far off as the line of sight to the plane's far end still runs within
    // the space.
    const Camera camera = *aimed(plan, {0, -6});
    const Vec3 from = centre(camera), end{0, 0.6, plan.air_height};
    const double reach = length(end - from) * (6 - 0.6 + 1.5) / (6 + 0.6);
    const double alone = coverage_factor(kLikely) * plan.pointing / plan.lens.fx * reach;
    CHECK(in_plane.in_air > alone);
    CHECK(in_plane.in_air < 1.5 * alone);
    CHECK(square.in_air > 50 * in_plane.in_air);
    // The same two are of use for what touches the level.
    CHECK(in_plane.on_level < 0.02);
    CHECK(square.on_level < 0.1);
}

TEST_CASE("a camera is worth more the nearer it is put") {
    const PlacingPlan plan = pier_plan();
    double on_level = 0, in_air = 0;
    for (const double distance : {3.5, 5.0, 7.0, 10.0, 14.0}) {
        const PlaceWorth one = worth(plan, {0, -distance});
        REQUIRE(one.calibrated);
        CHECK(one.on_level > on_level);
        CHECK(one.in_air > in_air);
        on_level = one.on_level;
        in_air = one.in_air;
    }
    on_level = 0;
    for (const double distance : {3.5, 5.0, 7.0, 10.0, 14.0}) {
        const PlaceWorth one = worth(plan, {-0.6 * distance, -0.8 * distance});
        REQUIRE(one.calibrated);
        CHECK(one.on_level > on_level);
        on_level = one.on_level;
    }
}

TEST_CASE("places from which a camera cannot be calibrated say why") {
    PlacingPlan plan = pier_plan();
    plan.lens = lens_with(12, 1920, 1080);
    const PlaceWorth tele = worth(plan, {0, -4});
    CHECK_FALSE(tele.calibrated);
    CHECK(tele.calibration == Hindrance::too_few);
    CHECK(tele.seen < 4);
    CHECK(std::isinf(tele.on_level));
    CHECK(std::isinf(tele.in_air));
    CHECK(reason(tele).find("Of the places with known measures " + std::to_string(tele.seen) +
                            " are in the picture; four are needed.") == 0);

    plan = pier_plan();
    CHECK(worth(plan, {0.1, -0.1}).calibration == Hindrance::over_the_plane);
    plan.places = {
        {"a", {-2, 0, 0.8}, 0}, {"b", {-1, 0, 0.8}, 0}, {"c", {1, 0, 0.8}, 0}, {"d", {2, 0, 0.8}, 0}};
    CHECK(worth(plan, {0, -6}).calibration == Hindrance::on_one_line);

    // A wall seen square on, through a lens that nobody knows.
    plan = pier_plan();
    plan.knowledge = LensKnowledge::focal_length;
    plan.plane.ends = {PlaneEnd{-0.6, 0, 0, {}}, PlaneEnd{0.6, 0, 0, {}}};
    plan.level = {0, 0, {}};
    plan.camera_height = 1;
    plan.air_height = 2;
    plan.space = {1.5, 2.5, -0.3, 1.5};
    plan.places = {{"a", {-1, 0, 0}, 0}, {"b", {1, 0, 0}, 0}, {"c", {1, 0, 2}, 0}, {"d", {-1, 0, 2}, 0}};
    const PlaceWorth wall = worth(plan, {0, -6});
    CHECK(wall.calibration == Hindrance::untold_focal);
    const auto refused = calibrate(sightings_of(plan, *aimed(plan, {0, -6})));
    REQUIRE_FALSE(refused);
    CHECK(refused.error().text().find("square on") != std::string::npos);
}

TEST_CASE("a place with a second way to stand is refused as the calibration there refuses it") {
    PlacingPlan plan = flat_plan();
    plan.places.resize(4);
    for (KnownPlace& place : plan.places)  // marks on the floor, close together
        place.at = {0.5 * place.at.x, place.at.y, 0};
    plan.pointing = 5;
    plan.camera_height = 3;
    int two_ways = 0, can = 0;
    for (double y = -2; y > -10; y -= 1) {
        const FloorPlace place{-1.1, y};
        const PlaceWorth one = worth(plan, place);
        const auto found = calibrate(sightings_of(plan, *aimed(plan, place)));
        INFO("y = " << y << ": " << reason(one) << " / " << (found ? "" : found.error().text()));
        CHECK(static_cast<bool>(found) == one.calibrated);
        if (one.calibration == Hindrance::two_ways) {
            REQUIRE_FALSE(found);
            CHECK(found.error().text().find("could stand in two places") != std::string::npos);
        }
        two_ways += one.calibration == Hindrance::two_ways ? 1 : 0;
        can += one.calibrated ? 1 : 0;
    }
    CHECK(two_ways > 0);
    CHECK(can > 0);
}

TEST_CASE("a calibrated camera from which the plane or its surface is not seen says so") {
    PlacingPlan plan = pier_plan();
    plan.camera_height = 0.8;
    const PlaceWorth low = worth(plan, {-2, -5});
    REQUIRE(low.calibrated);
    CHECK(low.level == Hindrance::not_from_above);
    CHECK(std::isinf(low.on_level));
    CHECK(low.air == Hindrance::none);

    plan = pier_plan();
    plan.plane.ends = {PlaneEnd{0, -0.6, 0, {}}, PlaneEnd{9, -0.6, 0, {}}};
    plan.space.along_to = 10;
    const PlaceWorth wide = worth(plan, {1.5, -5});
    REQUIRE(wide.calibrated);
    CHECK(wide.level == Hindrance::plane_outside);
    CHECK(wide.air == Hindrance::plane_outside);
}

TEST_CASE("the designed covariance is that of a calibration without noise") {
    for (const LensKnowledge knowledge :
         {LensKnowledge::measured, LensKnowledge::focal_length, LensKnowledge::focal_and_radial}) {
        PlacingPlan plan = pier_plan();
        plan.knowledge = knowledge;
        plan.places.push_back({"behind the camera", {0, -40, 1}, 0.02});
        const FloorPlace place{-2.3, -5.1};
        const Design design = design_of(plan, *aimed(plan, place));
        REQUIRE(design.found);
        CHECK(design.seen == 12);
        const CalibratedCamera found = calibrated(plan, place);
        REQUIRE(found.covariance.size() == design.found->covariance.size());
        const std::size_t n = found.unknowns();
        // What is supposed of an unknown focal length moves the calibration a little.
        const double allowed = knowledge == LensKnowledge::measured ? 1e-9 : 5e-3;
        double most = 0;
        for (std::size_t i = 0; i < n; ++i)
            for (std::size_t j = 0; j < n; ++j) {
                const double scale = std::sqrt(found.covariance[i * n + i] * found.covariance[j * n + j]);
                most = std::max(
                    most,
                    std::abs(found.covariance[i * n + j] - design.found->covariance[i * n + j]) / scale);
            }
        CHECK(most < allowed);
    }
}

TEST_CASE("the widths are those that measurements with a calibration there give") {
    PlacingPlan plan = pier_plan();
    plan.plane.ends[1].place = 1;  // its far end is a corner that was measured
    plan.plane.ends[0] = {-0.6, -0.6, 0.0005, {}};
    plan.level = {0, 0, {0, 1}};
    plan.space.along_to = 2.5;
    // All of it well enough known that the law of propagation holds of each figure.
    plan.camera_height = 3.5;
    plan.pointing = 0.2;
    plan.lens_standard = {0.0002, 0.2, 0.0004};
    for (KnownPlace& known : plan.places)
        known.tolerance = 0.001;
    const FloorPlace place{-2.6, -5.2}, across{4.1, -3.3};
    const PlaceWorth one = worth(plan, place);
    const CalibratedCamera first = calibrated(plan, place), second = calibrated(plan, across);
    const auto on = along_plane(plan, level_of(plan)), air = along_plane(plan, plan.air_height);
    const Camera camera = *aimed(plan, place), other = *aimed(plan, across);
    double on_level_wide = 0, in_air_wide = 0, two_wide = 0;
    for (std::size_t i = 0; i < 3; ++i) {
        const auto contact = on_level(first, pointed(plan, camera, on[i]), plan.level, &plan.plane);
        REQUIRE(contact);
        REQUIRE_FALSE(contact->distance->by_draws);
        on_level_wide = std::max(on_level_wide, half(*contact->distance));
        const auto part = in_the_air(first, pointed(plan, camera, air[i]), plan.plane, plan.space);
        REQUIRE(part);
        REQUIRE_FALSE(part->by_draws);
        in_air_wide = std::max(in_air_wide, half(*part));
        const auto both = seen_by_two(first, pointed(plan, camera, air[i]), second,
                                      pointed(plan, other, air[i]), &plan.plane);
        REQUIRE(both);
        REQUIRE_FALSE(both->distance->by_draws);
        two_wide = std::max(two_wide, half(*both->distance));
    }
    CHECK(one.on_level == Approx(on_level_wide).epsilon(1e-6));
    CHECK(one.in_air == Approx(in_air_wide).epsilon(1e-6));
    plan.floor = {across.x - 1, across.x + 1, across.y - 1, across.y + 1, 1, 1};
    const auto pairs = pair_map(plan, place);
    REQUIRE(pairs);
    CHECK(pairs->each.front().in_air == Approx(two_wide).epsilon(1e-6));
}

TEST_CASE("the width on the level is what noisy calibrations and measurements scatter") {
    const PlacingPlan plan = pier_plan();
    const FloorPlace place{-2.6, -5.2};
    const PlaceWorth promised = worth(plan, place);
    REQUIRE(promised.calibrated);
    const Camera where = *aimed(plan, place);
    // The point of the plane that is worst known.
    const CalibratedCamera nominal = calibrated(plan, place);
    std::size_t worst = 0;
    double widest = 0;
    for (std::size_t i = 0; i < 3; ++i) {
        const Vec3 at = along_plane(plan, level_of(plan))[i];
        const auto there = on_level(nominal, pointed(plan, where, at), plan.level, &plan.plane);
        REQUIRE(there);
        if (half(*there->distance) > widest) widest = half(*there->distance), worst = i;
    }
    // A world whose every measure is off by what the plan allows; what is told to the calibration is the
    // plan.
    std::mt19937_64 engine(20'260'817);
    const auto even = [&] { return static_cast<double>(engine() >> 11) * 0x1p-53; };
    const auto normal = [&] {
        return std::sqrt(-2 * std::log(1 - even())) * std::cos(2 * 3.14159265358979323846 * even());
    };
    const auto tape = [&](double tolerance) { return tolerance * (2 * even() - 1); };
    constexpr int kTimes = test::kSanitized ? 8 : 100;
    double sum = 0, squares = 0;
    for (int time = 0; time < kTimes; ++time) {
        PlacingPlan world = plan;
        for (KnownPlace& known : world.places)
            known.at = known.at + Vec3{tape(known.tolerance), tape(known.tolerance), tape(known.tolerance)};
        for (PlaneEnd& end : world.plane.ends)
            end.x += tape(end.tolerance), end.y += tape(end.tolerance);
        world.level.height += tape(plan.level.tolerance);
        Camera camera = where;
        const double grown = std::exp(plan.lens_standard.focal * normal());
        camera.lens.fx *= grown;
        camera.lens.fy *= grown;
        camera.lens.cx += plan.lens_standard.principal * normal();
        camera.lens.cy += plan.lens_standard.principal * normal();
        camera.lens.k1 += plan.lens_standard.k1 * normal();
        const auto hand = [&](Pixel at) {
            return Pixel{at.x + plan.pointing * normal(), at.y + plan.pointing * normal()};
        };
        Sightings sightings = sightings_of(plan, where);
        for (SeenPlace& seen : sightings.points) {
            const auto at = project(camera, world.places[seen.place].at);
            REQUIRE(at);
            seen.at = hand(*at);
        }
        const auto found = calibrate(sightings);
        REQUIRE(found);
        const auto foot = project(camera, along_plane(world, world.level.height)[worst]);
        REQUIRE(foot);
        const auto contact = on_level(*found, {hand(*foot), plan.pointing, {}}, plan.level, &plan.plane);
        REQUIRE(contact);
        const double off = contact->distance->best.low;  // it is on the plane: the truth is none
        sum += off;
        squares += off * off;
    }
    if (test::kSanitized) return;  // so few scatter too much
    const double variance = (squares - sum * sum / kTimes) / (kTimes - 1);
    const double standard = promised.on_level / coverage_factor(kLikely);
    INFO("promised " << standard << " m; seen " << std::sqrt(variance) << " m");
    // Of a right promise this is a chi-square with 99 degrees; each bound has a risk of 0.1 %.
    const double chi = (kTimes - 1) * variance / (standard * standard);
    CHECK(chi > chi_square_quantile(0.001, kTimes - 1));
    CHECK(chi < chi_square_quantile(0.999, kTimes - 1));
    CHECK(std::abs(sum / kTimes) < 3.3 * standard / std::sqrt(kTimes));
}

TEST_CASE("a second camera that looks across settles the air and one beside the first does not") {
    PlacingPlan plan = pier_plan();
    const FloorPlace first{-4.5, -4.5};
    const auto alone = worth_at(plan, first);
    REQUIRE(alone);
    CHECK(alone->in_air > 0.3);
    plan.floor = {-4.8, 4.8, -4.8, 4.8, 16, 16};  // its first cell is where the first camera is
    const auto map = pair_map(plan, first);
    REQUIRE(map);
    const PlaceWorth &same = map->each.front(), &beside = map->each[1], &across = map->each[15];
    CHECK(same.air == Hindrance::along_each_other);
    CHECK(std::isinf(same.in_air));
    CHECK(same.parallax == Approx(0).margin(1e-6));
    REQUIRE(beside.calibrated);
    REQUIRE(across.calibrated);
    CHECK(beside.parallax < 8);
    CHECK(across.parallax > 80);
    CHECK(across.in_air < 0.02);
    CHECK(beside.in_air > 3 * across.in_air);
    CHECK(across.on_level < 0.02);

    plan.lens = lens_with(12, 1920, 1080);
    const auto refused = pair_map(plan, {0, -4});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().text().find(
              "The first camera cannot be calibrated where it is put. Of the places") == 0);
}

TEST_CASE("the best places keep the bound and are apart") {
    const PlacingPlan plan = pier_plan();
    const auto map = worth_map(plan);
    REQUIRE(map);
    for (const Wanted wanted : {Wanted::on_level, Wanted::in_air, Wanted::both}) {
        const auto narrowest = best(*map, wanted, 1e9, 1);
        REQUIRE(narrowest.size() == 1);
        for (const PlaceWorth& one : map->each)
            CHECK_FALSE(width(one, wanted) < width(map->each[narrowest.front()], wanted));
        CHECK(best(*map, wanted, 0.5 * width(map->each[narrowest.front()], wanted), 5).empty());
    }
    const auto some = best(*map, Wanted::on_level, 0.02, 6, 2.5);
    REQUIRE(some.size() > 2);
    for (std::size_t i = 0; i < some.size(); ++i) {
        CHECK(map->each[some[i]].on_level <= 0.02);
        if (i > 0) CHECK(map->each[some[i]].on_level >= map->each[some[i - 1]].on_level);
        for (std::size_t j = 0; j < i; ++j) {
            const FloorPlace a = plan.floor.middle(some[i]), b = plan.floor.middle(some[j]);
            CHECK(std::hypot(a.x - b.x, a.y - b.y) >= 2.5);
        }
    }
    const auto all = best(*map, Wanted::on_level, 0.02, 1000);
    const auto within = std::count_if(map->each.begin(), map->each.end(),
                                      [](const PlaceWorth& one) { return one.on_level <= 0.02; });
    CHECK(all.size() == static_cast<std::size_t>(within));
}

TEST_CASE("a map tells how far it is and can be stopped") {
    const PlacingPlan plan = pier_plan();
    std::vector<double> told;
    std::stop_source source;
    const auto stopped = worth_map(
        plan,
        [&](double share) {
            told.push_back(share);
            if (share > 0.2) source.request_stop();
        },
        source.get_token());
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().category == base::Category::cancelled);
    CHECK(told.size() == 3);
    told.clear();
    const auto pairs = pair_map(plan, {-4, -4}, {}, source.get_token());
    REQUIRE_FALSE(pairs);
    CHECK(pairs.error().category == base::Category::cancelled);
    REQUIRE(worth_map(plan, [&](double share) { told.push_back(share); }));
    REQUIRE(told.size() == 12);
    CHECK(std::is_sorted(told.begin(), told.end()));
    CHECK(told.back() == 1);
}

TEST_CASE("a plan that does not say what is needed is refused with the reason") {
    const auto refusal = [](const PlacingPlan& plan) {
        const auto found = worth_map(plan);
        return found ? std::string("made") : found.error().text();
    };
    PlacingPlan plan = pier_plan();
    plan.places[3].name = plan.places[0].name;
    CHECK(refusal(plan).find("Two places are called 'pier near inner'.") == 0);
    plan = pier_plan();
    plan.places[2].at.z = std::nan("");
    CHECK(refusal(plan).find("The measures of 'pier near post' are no numbers.") == 0);
    plan = pier_plan();
    plan.lens.fx = 0;
    CHECK(refusal(plan).find("The lens has no focal length.") == 0);
    plan = pier_plan();
    plan.pointing = 0;
    CHECK(refusal(plan).find("Say how well one can point") == 0);
    plan = pier_plan();
    plan.air_height = 3;
    CHECK(refusal(plan).find("The space in which the part can be has to hold") == 0);
    plan = pier_plan();
    plan.plane.ends[1] = plan.plane.ends[0];
    CHECK(refusal(plan).find("The plane's two ends lie less than a centimetre apart.") == 0);
    plan = pier_plan();
    plan.floor.rows = 0;
    CHECK(refusal(plan).find("The floor to look at has no extent.") == 0);
    plan.floor.rows = plan.floor.columns = 2000;
    CHECK(refusal(plan).find("The floor has 4000000 cells; 1000000 is the most.") == 0);
}
