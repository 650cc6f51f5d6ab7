#include "review/placing_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using course::PlanPoint;

constexpr double kDegrees = 180 / 3.14159265358979323846;
constexpr double kTouching = 0.02;  ///< metres: a plane at a deck's edge is taped no better

struct Extent {
    double low[2]{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
    double high[2]{-std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    void take(double x, double y) {
        low[0] = std::min(low[0], x);
        low[1] = std::min(low[1], y);
        high[0] = std::max(high[0], x);
        high[1] = std::max(high[1], y);
    }
};

double cross(const PlanPoint& a, const PlanPoint& b, const PlanPoint& at) {
    return (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]);
}

double to_stretch(const PlanPoint& at, const PlanPoint& from, const PlanPoint& to) {
    const double dx = to[0] - from[0], dy = to[1] - from[1], square = dx * dx + dy * dy;
    const double along =
        square > 0 ? std::clamp(((at[0] - from[0]) * dx + (at[1] - from[1]) * dy) / square, 0.0, 1.0) : 0;
    return std::hypot(at[0] - from[0] - along * dx, at[1] - from[1] - along * dy);
}

bool cut(const PlanPoint& a, const PlanPoint& b, const PlanPoint& c, const PlanPoint& d) {
    return cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0;
}

bool inside(const std::vector<PlanPoint>& outline, const PlanPoint& at) {
    bool in = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const PlanPoint &a = outline[i], &b = outline[j];
        if ((a[1] > at[1]) != (b[1] > at[1]) && at[0] < (b[0] - a[0]) * (at[1] - a[1]) / (b[1] - a[1]) + a[0])
            in = !in;
    }
    return in;
}

/// Seen from above; 0 where the line ends or passes inside.
double between(const std::vector<PlanPoint>& outline, const course::PlanePlan& plane) {
    if (inside(outline, plane.from) || inside(outline, plane.to)) return 0;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const PlanPoint &a = outline[i], &b = outline[(i + 1) % outline.size()];
        if (cut(a, b, plane.from, plane.to)) return 0;
        least = std::min({least, to_stretch(a, plane.from, plane.to), to_stretch(plane.from, a, b),
                          to_stretch(plane.to, a, b)});
    }
    return least;
}

/// By the mean of its corners.
bool on_far_side(const course::SurfacePlan& surface, const course::PlanePlan& plane) {
    PlanPoint middle{0, 0};
    for (const PlanPoint& at : surface.outline)
        for (std::size_t axis = 0; axis < 2; ++axis)
            middle[axis] += at[axis] / static_cast<double>(surface.outline.size());
    return cross(plane.from, plane.to, middle) * cross(plane.from, plane.to, plane.past) > 0;
}

struct Nearest {
    const course::SurfacePlan* surface = nullptr;
    double away = 0;
};

Nearest stood_on(const course::Plan& plan, const course::PlanePlan& plane) {
    Nearest best;
    bool best_far = false;
    for (const course::SurfacePlan& surface : plan.surfaces) {
        if (surface.outline.empty()) continue;
        double away = between(surface.outline, plane);
        if (away < kTouching) away = 0;
        const bool far_side = on_far_side(surface, plane);
        if (best.surface == nullptr || away < best.away || (away == best.away && far_side && !best_far)) {
            best = {&surface, away};
            best_far = far_side;
        }
    }
    return best;
}

Result<course::PlaneId> planned_plane(const course::CourseBook& book, const std::string& key) {
    const auto all = planned_planes(book);
    if (book.plan.surfaces.empty() && all.empty())
        return Error{Category::bad_input,
                     worded("The course book has no plan, so nothing says where its surfaces and planes are. "
                            "Write their measures under [plan]."),
                     {}};
    if (all.empty())
        return Error{Category::bad_input,
                     worded("The course book's plan does not say where a plane is. Write its line under "
                            "[plan.planes]."),
                     {}};
    std::vector<std::string> keys;
    for (const course::PlaneId id : all) {
        keys.push_back(book.plane(id).key);
        if (keys.back() == key) return id;
    }
    return Error{
        Category::not_found,
        book.find_plane(key).valid()
            ? worded("The course book's plan does not say where the plane '{}' is. It has: {}.", key,
                     base::listed(keys))
            : worded("The course book has no plane '{}'. Its plan has: {}.", key, base::listed(keys)),
        {}};
}

/// No two of one name: what a map counts as one thing is known by it.
std::vector<sight::KnownPlace> known_places(const std::vector<PlanSpot>& spots) {
    std::map<std::string, int> often;
    for (const PlanSpot& spot : spots)
        ++often[spot.name];
    std::vector<sight::KnownPlace> places;
    for (const PlanSpot& spot : spots) {
        const std::string& name = spot.name;
        places.push_back(
            {often[name] > 1 ? name + " (" + spot.place.key + ")" : name, spot.at, spot.tolerance});
    }
    return places;
}

/// From, to and how many: cells of this size that cover a stretch and have 'middle' in the middle of one.
std::tuple<double, double, int> cells(double low, double high, double middle, double size) {
    // What is too many is refused by the map, with how many it would be.
    const auto beside = [&](double stretch) {
        return std::clamp(std::ceil(stretch / size - 0.5), 0.0, 15'000.0);
    };
    const double before = beside(middle - low), after = beside(high - middle);
    return {middle - (before + 0.5) * size, middle + (after + 0.5) * size,
            static_cast<int>(before + 1 + after)};
}

sight::FloorGrid floor_about(const course::Plan& plan, const course::PlanePlan& plane,
                             const PlacingWish& wish) {
    Extent extent;
    for (const course::SurfacePlan& surface : plan.surfaces) {
        for (const PlanPoint& at : surface.outline)
            extent.take(at[0], at[1]);
        for (const course::SpacePoint& at : surface.line)
            extent.take(at[0], at[1]);
    }
    for (const course::PlanePlan& one : plan.planes) {
        extent.take(one.from[0], one.from[1]);
        extent.take(one.to[0], one.to[1]);
    }
    // The plane's middle is a cell's: a camera in the plane tells best what is past it, and just beside it
    // tells it much worse.
    sight::FloorGrid floor;
    std::tie(floor.x_from, floor.x_to, floor.columns) =
        cells(extent.low[0] - wish.around, extent.high[0] + wish.around, (plane.from[0] + plane.to[0]) / 2,
              wish.cell);
    std::tie(floor.y_from, floor.y_to, floor.rows) =
        cells(extent.low[1] - wish.around, extent.high[1] + wish.around, (plane.from[1] + plane.to[1]) / 2,
              wish.cell);
    return floor;
}

Error air_outside(const PlacingWish& wish, const std::string& surface, const sight::Space& space,
                  double top) {
    const auto metres = [](double value) { return fmt::format("{:.2f}", value); };
    return {Category::bad_input,
            worded("A part {} m over {} is not looked for: anything in the air is, from {} to {} m over it.",
                   metres(wish.air), surface, metres(space.lowest - top), metres(space.highest - top)),
            {}};
}

}  // namespace

bool operator==(const PlacingWish& a, const PlacingWish& b) {
    const auto all = [](const PlacingWish& wish) {
        const sight::LensStandard& standard = wish.lens_standard;
        return std::tuple(wish.plane, wish.lens_name, wish.knowledge, wish.pointing, wish.camera_height,
                          wish.air, wish.around, wish.cell, standard.focal, standard.principal, standard.k1);
    };
    return a.lens == b.lens && all(a) == all(b);
}

void take_lens(PlacingWish& wish, const meet::CameraLens& lens) {
    wish.lens = geometry_of(lens);
    wish.knowledge = sight::LensKnowledge::measured;
    wish.lens_standard = standard_of(lens);
    wish.lens_name = lens.camera;
}

double degrees_across(const PlacingWish& wish) {
    return 2 * std::atan(wish.lens.width / (2 * wish.lens.fx)) * kDegrees;
}

std::vector<course::PlaneId> planned_planes(const course::CourseBook& book) {
    std::vector<course::PlaneId> out;
    for (const course::PlanePlan& plan : book.plan.planes)
        out.push_back(plan.plane);
    return out;
}

Result<Placing> placing_plan(const course::CourseBook& book, const PlacingWish& wish) {
    const auto id = planned_plane(book, wish.plane);
    if (!id) return id.error();
    const auto [surface, away] = stood_on(book.plan, *book.plan.find(*id));
    if (surface == nullptr)
        return Error{Category::bad_input,
                     worded("The course book's plan has no surface with an outline, so nothing says what is "
                            "stood on at the plane. Write one under [plan.surfaces]."),
                     {}};
    if (!(wish.cell > 0) || !(wish.around >= 0) || !std::isfinite(wish.cell + wish.around))
        return Error{Category::bad_input,
                     worded("The floor to look at has no extent: a cell has to be longer than nothing."),
                     {}};
    const sight::Space space = space_about(book, *id);
    if (const double at = surface->top + wish.air; !(at >= space.lowest && at <= space.highest))
        return air_outside(wish, book.surface(surface->surface).name, space, surface->top);
    FoundCamera anywhere;
    anywhere.spots = plan_spots(book);
    Placing placing;
    placing.wish = wish;
    placing.plane = book.plane(*id).name;
    placing.surface = book.surface(surface->surface).name;
    placing.away = away;
    placing.supposed_tape = tape_is_supposed(book);
    sight::PlacingPlan& plan = placing.plan;
    plan.places = known_places(anywhere.spots);
    plan.plane = *plane_for(book, *id, anywhere);
    plan.level = level_for(book, *surface, anywhere);
    plan.air_height = surface->top + wish.air;
    plan.space = space;
    plan.lens = wish.lens;
    plan.knowledge = wish.knowledge;
    plan.lens_standard = wish.lens_standard;
    plan.pointing = wish.pointing;
    plan.camera_height = wish.camera_height;
    plan.floor = floor_about(book.plan, *book.plan.find(*id), wish);
    return placing;
}

}  // namespace plumbmark::review
