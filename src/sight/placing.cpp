#include "sight/placing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <tuple>
#include <utility>

#include "base/worded.h"
#include "sight/internal/basis.h"
#include "sight/internal/placing_design.h"
#include "sight/internal/placing_worth.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<void> look_over_places(const std::vector<KnownPlace>& places) {
    std::set<std::string> names;
    for (const KnownPlace& place : places) {
        if (!std::isfinite(place.at.x + place.at.y + place.at.z + place.tolerance) || place.tolerance < 0)
            return refused(worded("The measures of '{}' are no numbers.", place.name));
        if (!names.insert(place.name).second)
            return refused(worded("Two places are called '{}'. Give each its own name.", place.name));
    }
    return {};
}

Result<void> look_over_lens(const PlacingPlan& plan) {
    const Lens& lens = plan.lens;
    if (lens.width < 1 || lens.height < 1) return refused(worded("The picture has no size."));
    if (!(lens.fx > 0 && lens.fy > 0) || !std::isfinite(lens.fx + lens.fy + lens.cx + lens.cy))
        return refused(worded("The lens has no focal length."));
    if (!(plan.pointing > 0) || !std::isfinite(plan.pointing))
        return refused(
            worded("Say how well one can point into the picture: the standard deviation has to be "
                   "more than 0 pixels."));
    return {};
}

Result<void> look_over_floor(const FloorGrid& floor) {
    const bool finite = std::isfinite(floor.x_from + floor.x_to + floor.y_from + floor.y_to);
    if (!finite || floor.columns < 1 || floor.rows < 1 || !(floor.x_from <= floor.x_to) ||
        !(floor.y_from <= floor.y_to))
        return refused(worded("The floor to look at has no extent."));
    if (floor.count() > kMostFloorCells)
        return refused(worded("The floor has {} cells; {} is the most. Take larger ones.",
                              static_cast<std::int64_t>(floor.count()),
                              static_cast<std::int64_t>(kMostFloorCells)));
    return {};
}

Result<void> look_over_space(const PlacingPlan& plan) {
    const auto ends = along_plane(plan, 0);
    const Space& space = plan.space;
    const bool holds = space.lowest <= plan.air_height && plan.air_height <= space.highest;
    if (!holds || !(space.along_from < 0) || !(space.along_to > length(ends[2] - ends[0])))
        return refused(
            worded("The space in which the part can be has to hold the height that is asked about, "
                   "and to reach beyond both ends of the plane."));
    return {};
}

Result<void> look_over(const PlacingPlan& plan) {
    if (auto good = look_over_places(plan.places); !good) return good;
    if (auto good = look_over_lens(plan); !good) return good;
    if (!std::isfinite(plan.camera_height)) return refused(worded("The camera's height is no number."));
    CalibratedCamera with_places;
    with_places.places = plan.places;
    if (auto good = look_over(plan.plane, with_places); !good) return good;
    if (auto good = look_over(plan.level, with_places); !good) return good;
    return look_over_space(plan);
}

/// The worst over three points of a width, and why there is none.
struct Worst {
    double width = 0;
    Hindrance hindrance = Hindrance::none;
};

template <class Width>
Worst worst(const std::array<Vec3, 3>& points, const std::vector<const Camera*>& cameras, Hindrance without,
            const Width& width_at) {
    constexpr double kNone = std::numeric_limits<double>::infinity();
    for (const Camera* camera : cameras)
        for (const Vec3& point : points)
            if (!in_picture(*camera, point)) return {kNone, Hindrance::plane_outside};
    Worst out;
    for (const Vec3& point : points) {
        const std::optional<double> one = width_at(point);
        if (!one) return {kNone, without};
        out.width = std::max(out.width, *one);
    }
    return out;
}

PlaceWorth hindered(Hindrance hindrance, int seen) {
    PlaceWorth out;
    out.seen = seen;
    out.calibration = out.level = out.air = hindrance;
    return out;
}

void set(PlaceWorth& worth, const Worst& on_level, const Worst& in_air) {
    std::tie(worth.on_level, worth.level) = std::pair{on_level.width, on_level.hindrance};
    std::tie(worth.in_air, worth.air) = std::pair{in_air.width, in_air.hindrance};
}

PlaceWorth of_calibrated(const Design& design) {
    PlaceWorth out;
    out.calibrated = true;
    out.seen = design.seen;
    out.standing = length(design.found->centre_standard());
    return out;
}

PlaceWorth alone(const PlacingPlan& plan, FloorPlace place) {
    const auto camera = aimed(plan, place);
    if (!camera) return hindered(Hindrance::over_the_plane, 0);
    const Design design = design_of(plan, *camera);
    if (!design.found) return hindered(design.hindrance, design.seen);
    PlaceWorth out = of_calibrated(design);
    const CalibratedCamera& found = *design.found;
    set(out,
        worst(along_plane(plan, level_of(plan)), {&*camera}, Hindrance::not_from_above,
              [&](Vec3 at) { return width_on_level(plan, found, *project(*camera, at)); }),
        worst(along_plane(plan, plan.air_height), {&*camera}, Hindrance::grazing,
              [&](Vec3 at) { return width_in_air(plan, found, *project(*camera, at)); }));
    return out;
}

PlaceWorth together(const PlacingPlan& plan, const CalibratedCamera& first, FloorPlace place) {
    const auto camera = aimed(plan, place);
    if (!camera) return hindered(Hindrance::over_the_plane, 0);
    const Design design = design_of(plan, *camera);
    if (!design.found) return hindered(design.hindrance, design.seen);
    PlaceWorth out = of_calibrated(design);
    const auto width_at = [&](Vec3 at) { return width_of_two(plan, first, *design.found, at); };
    const std::vector<const Camera*> both{&first.camera, &*camera};
    const auto in_air = along_plane(plan, plan.air_height);
    set(out, worst(along_plane(plan, level_of(plan)), both, Hindrance::along_each_other, width_at),
        worst(in_air, both, Hindrance::along_each_other, width_at));
    const Vec3 one = in_air[1] - centre(first.camera), other = in_air[1] - centre(*camera);
    out.parallax = std::atan2(length(cross(one, other)), dot(one, other)) * kDegrees;
    return out;
}

template <class Worth>
Result<PlacingMap> map_of(const PlacingPlan& plan, const Worth& worth,
                          const std::function<void(double)>& progress, const std::stop_token& stop) {
    PlacingMap map{plan.floor, {}};
    map.each.reserve(plan.floor.count());
    const auto columns = static_cast<std::size_t>(plan.floor.columns);
    while (map.each.size() < plan.floor.count()) {
        if (stop.stop_requested())
            return Error{Category::cancelled, worded("Looking for places was stopped."), {}};
        map.each.push_back(worth(plan.floor.middle(map.each.size())));
        if (progress && map.each.size() % columns == 0)
            progress(static_cast<double>(map.each.size()) / static_cast<double>(plan.floor.count()));
    }
    return map;
}

}  // namespace

FloorPlace FloorGrid::middle(std::size_t index) const {
    const auto across = static_cast<std::size_t>(columns);
    const auto part = [](std::size_t at, int of) { return (static_cast<double>(at) + 0.5) / of; };
    return {x_from + (x_to - x_from) * part(index % across, columns),
            y_from + (y_to - y_from) * part(index / across, rows)};
}

Lens lens_with(double degrees_across, int width, int height) {
    const double focal = width / (2 * std::tan(degrees_across / kDegrees / 2));
    return {width, height, focal, focal, width / 2.0, height / 2.0};
}

std::optional<Camera> aimed(const PlacingPlan& plan, FloorPlace place) {
    const Vec3 at{place.x, place.y, plan.camera_height};
    const auto low = along_plane(plan, level_of(plan)), high = along_plane(plan, plan.air_height);
    Vec3 to_middle = low[1] - at;
    to_middle.z = 0;
    if (!(length(to_middle) > kNearest)) return std::nullopt;
    const Vec3 heading = unit(to_middle), right = cross(heading, {0, 0, 1});
    // Of an upright camera the height in the picture goes with the angle in the upright plane it heads along.
    double least = 90, most = -90;
    for (const auto& points : {low, high})
        for (const Vec3& point : points) {
            const double forward = dot(point - at, heading);
            if (!(forward > 0)) continue;
            const double angle = std::atan2(point.z - at.z, forward) * kDegrees;
            least = std::min(least, angle);
            most = std::max(most, angle);
        }
    const double tilt = (least + most) / 2 / kDegrees;
    const Vec3 ahead = std::cos(tilt) * heading + Vec3{0, 0, std::sin(tilt)}, down = cross(ahead, right);
    Camera camera{plan.lens, {}};
    camera.pose.turn = {{{right.x, right.y, right.z}, {down.x, down.y, down.z}, {ahead.x, ahead.y, ahead.z}}};
    camera.pose.shift = -1 * (camera.pose.turn * at);
    return camera;
}

Result<PlaceWorth> worth_at(const PlacingPlan& plan, FloorPlace place) {
    if (auto good = look_over(plan); !good) return good.error();
    return alone(plan, place);
}

Result<PlacingMap> worth_map(const PlacingPlan& plan, const std::function<void(double)>& progress,
                             const std::stop_token& stop) {
    if (auto good = look_over(plan); !good) return good.error();
    if (auto good = look_over_floor(plan.floor); !good) return good.error();
    return map_of(
        plan, [&](FloorPlace place) { return alone(plan, place); }, progress, stop);
}

Result<PlacingMap> pair_map(const PlacingPlan& plan, FloorPlace first,
                            const std::function<void(double)>& progress, const std::stop_token& stop) {
    if (auto good = look_over(plan); !good) return good.error();
    if (auto good = look_over_floor(plan.floor); !good) return good.error();
    const auto camera = aimed(plan, first);
    const Design design =
        camera ? design_of(plan, *camera) : Design{std::nullopt, Hindrance::over_the_plane, 0};
    if (!design.found)
        return refused(worded("The first camera cannot be calibrated where it is put. {}",
                              said(design.hindrance, hindered(design.hindrance, design.seen))));
    return map_of(
        plan, [&](FloorPlace place) { return together(plan, *design.found, place); }, progress, stop);
}

base::Sentence said(Hindrance hindrance, const PlaceWorth& worth) {
    switch (hindrance) {
        case Hindrance::none:
            break;
        case Hindrance::over_the_plane:
            return worded("The camera would stand over the plane. Put it further off.");
        case Hindrance::too_few:
            return worded(
                "Of the places with known measures {} are in the picture; four are needed. Stand "
                "further off, take a wider lens, or measure more places.",
                worth.seen);
        case Hindrance::on_one_line:
            return worded(
                "All known places in the picture lie on one line, about which the camera could turn. "
                "Measure one beside it.");
        case Hindrance::untold_focal:
            return worded(
                "The known places do not tell the focal length from here. Measure the lens, or a "
                "place above or below the others.");
        case Hindrance::too_close_together:
            return worded(
                "The known places are too close together in the picture to tell where the camera "
                "stands. Measure places further apart, or stand nearer.");
        case Hindrance::two_ways:
            return worded(
                "The camera could stand in two places that show nearly the same. Measure a place "
                "above or below the others, or stand nearer.");
        case Hindrance::plane_outside:
            return worded(
                "An end of the plane is not in the picture. Stand further off, or take a wider lens.");
        case Hindrance::not_from_above:
            return worded("The surface is not seen from above. Put the camera higher.");
        case Hindrance::grazing:
            return worded(
                "The line of sight only grazes the space in which the part can be. Give the space "
                "more room.");
        case Hindrance::along_each_other:
            return worded("Both cameras look from the same side. Put the second one where it looks across.");
    }
    return {};
}

double width(const PlaceWorth& worth, Wanted wanted) {
    switch (wanted) {
        case Wanted::on_level:
            return worth.on_level;
        case Wanted::in_air:
            return worth.in_air;
        case Wanted::both:
            break;
    }
    return std::max(worth.on_level, worth.in_air);
}

std::vector<std::size_t> best(const PlacingMap& map, Wanted wanted, double bound, std::size_t most,
                              double apart) {
    std::vector<std::pair<double, std::size_t>> good;
    for (std::size_t i = 0; i < map.each.size(); ++i)
        if (const double one = width(map.each[i], wanted); one <= bound && std::isfinite(one))
            good.emplace_back(one, i);
    std::sort(good.begin(), good.end());
    std::vector<std::size_t> out;
    for (const auto& [one, index] : good) {
        if (out.size() >= most) break;
        const FloorPlace here = map.floor.middle(index);
        const bool near = std::any_of(out.begin(), out.end(), [&](std::size_t other) {
            const FloorPlace there = map.floor.middle(other);
            return std::hypot(here.x - there.x, here.y - there.y) < apart;
        });
        if (!near) out.push_back(index);
    }
    return out;
}

}  // namespace plumbmark::sight
