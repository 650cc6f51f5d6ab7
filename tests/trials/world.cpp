#include "trials/world.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::trials {

using namespace sight;

namespace {

constexpr double kRadians = Dice::kPi / 180;

void add_rectangle(std::vector<Vec3>& places, Vec3 corner, double length, double width) {
    for (const auto& [x, y] :
         {std::pair{0.0, 0.0}, std::pair{length, 0.0}, std::pair{length, width}, std::pair{0.0, width}})
        places.push_back(corner + Vec3{x, y, 0});
}

/// What the tape said: anywhere within the tolerance, each measure for itself.
Vec3 taped(Vec3 truth, double tolerance, Dice& dice) {
    const auto off = [&] { return dice.even(-tolerance, tolerance); };
    return truth + Vec3{off(), off(), off()};
}

void lay_plane(Setup& setup, double length, double width, Dice& dice) {
    UprightPlane& told = setup.told_plane;
    Vec3 ends[2];
    if (dice.chance(0.5)) {
        // The deck's front edge: both ends are places that the camera was found from.
        told.ends[0].place = 1;
        told.ends[1].place = 2;
        ends[0] = setup.places[1];
        ends[1] = setup.places[2];
    } else {
        // A line across the deck with a tape error of its own.
        const double middle = length * dice.even(0.25, 0.85), slant = dice.even(-0.15, 0.15);
        ends[0] = Vec3{middle - slant * width, -0.3, 0};
        ends[1] = Vec3{middle + slant * width, width + 0.3, 0};
        const double tolerance = dice.any_size(0.002, 0.01);
        for (std::size_t i = 0; i < 2; ++i) {
            const Vec3 said = taped(ends[i], tolerance, dice);
            told.ends[i] = {said.x, said.y, tolerance, {}};
        }
    }
    ends[0].z = ends[1].z = 0;
    told.past_is_left = false;  // along x
    const Vec3 ahead = unit(ends[1] - ends[0]);
    setup.plane = {ends[0], ahead, {ahead.y, -ahead.x, 0}};
}

}  // namespace

double deck_height(const Setup& setup, double x, double y) {
    return setup.places[0].z + setup.tilt.x * (x - setup.places[0].x) +
           setup.tilt.y * (y - setup.places[0].y);
}

void draw_station(Setup& setup, std::vector<KnownPlace>& told, Dice& dice) {
    const double length = dice.even(0.8, 2.5), width = dice.even(0.8, 2.0), height = dice.even(0.2, 1.0);
    std::vector<Vec3>& places = setup.places;
    add_rectangle(places, {0, 0, height}, length, width);
    const double kind = dice.even(0, 1);
    if (kind > 0.25) {  // a second deck beyond the gap
        add_rectangle(places, {length + dice.even(1.2, 3), dice.even(-0.3, 0.3), dice.even(0.2, 1.2)},
                      dice.even(0.8, 2), dice.even(0.8, 2));
        setup.rectangles = 2;
    }
    if (kind > 0.5) {  // rungs over it: ends of bars
        const double high = dice.even(2, 2.8);
        const auto rungs = 1 + dice.pick(3);
        for (std::size_t i = 0; i < rungs; ++i)
            for (const double y : {0.1 * width, 0.9 * width})
                places.push_back({length + 0.3 + 0.5 * static_cast<double>(i), y,
                                  high + 0.1 * static_cast<double>(i % 2)});
    }
    std::vector<Vec3> level = places;
    if (setup.part == Part::tilted) {
        const double way = dice.even(0, 2 * Dice::kPi), slope = std::tan(0.2 * kRadians);
        setup.tilt = {slope * std::cos(way), slope * std::sin(way), 0};
        for (std::size_t i = 0; i < 4; ++i)
            places[i].z = deck_height(setup, places[i].x, places[i].y);
        double mean = 0;  // its height was taken in the middle, and for all of it
        for (std::size_t i = 0; i < 4; ++i)
            mean += places[i].z / 4;
        for (std::size_t i = 0; i < 4; ++i)
            level[i].z = mean;
    }
    const double tolerance = dice.any_size(0.002, 0.01);
    for (std::size_t i = 0; i < places.size(); ++i)
        told.push_back({"place " + std::to_string(i + 1), taped(level[i], tolerance, dice), tolerance});
    if (setup.part == Part::wrong_tape) {
        Vec3& wrong = told[dice.pick(told.size())].at;
        const double by = (dice.chance(0.5) ? 1 : -1) * dice.even(5, 20) * tolerance;
        (dice.chance(1.0 / 3) ? wrong.x : dice.chance(0.5) ? wrong.y : wrong.z) += by;
    }
    lay_plane(setup, length, width, dice);
    if (dice.chance(0.6)) {
        setup.told_level.places = {0, 1, 2, 3};
    } else {
        const double own = dice.any_size(0.002, 0.01);
        double mean = 0;
        for (std::size_t i = 0; i < 4; ++i)
            mean += places[i].z / 4;
        setup.told_level.height = mean + dice.even(-own, own);
        setup.told_level.tolerance = own;
    }
}

std::optional<Pixel> in_picture(const Camera& camera, Vec3 at, double margin) {
    const auto seen = project(camera, at);
    if (!seen || seen->x < margin || seen->y < margin || seen->x > camera.lens.width - margin ||
        seen->y > camera.lens.height - margin)
        return std::nullopt;
    return seen;
}

namespace {

Lens draw_lens(const Setup& setup, LensKnowledge knowledge, Dice& dice) {
    constexpr std::array<std::array<int, 2>, 5> kSizes{
        {{1920, 1080}, {1920, 1080}, {1280, 720}, {3840, 2160}, {1080, 1920}}};
    const auto [width, height] = kSizes[dice.pick(kSizes.size())];
    const double longer = std::max(width, height);
    Lens lens;
    lens.width = width;
    lens.height = height;
    lens.fx = lens.fy = longer * dice.any_size(0.6, 1.6);
    lens.cx = width / 2.0 + dice.normal(kPrincipalStandard * longer);
    lens.cy = height / 2.0 + dice.normal(kPrincipalStandard * longer);
    // The free k1's prior is so wide that lenses of its like turn back within the picture: a third of it.
    lens.k1 =
        dice.normal(knowledge == LensKnowledge::focal_and_radial ? kFreeRadialStandard / 3 : kRadialStandard);
    if (setup.part == Part::other_bending) {
        lens.k2 = dice.normal(0.05);
        lens.k3 = dice.normal(0.02);
        lens.p1 = dice.normal(5e-4);
        lens.p2 = dice.normal(5e-4);
    }
    return lens;
}

/// A picture's own corners are seen by it: the distortion does not turn back within it.
bool sees_all_over(const Lens& lens) {
    for (const double x : {0.0, 1.0})
        for (const double y : {0.0, 1.0})
            if (!ray_through({lens, {}}, {x * lens.width, y * lens.height})) return false;
    return true;
}

void stand(Camera& camera, Vec3 at, Vec3 towards, double roll) {
    const Vec3 ahead = unit(towards - at), right = unit(cross(ahead, {0, 0, 1})), down = cross(ahead, right);
    const Mat3 level{{{right.x, right.y, right.z}, {down.x, down.y, down.z}, {ahead.x, ahead.y, ahead.z}}};
    camera.pose.turn = turning({0, 0, roll}) * level;
    camera.pose.shift = -1 * (camera.pose.turn * at);
}

/// The neighbours of a corner in its rectangle, as directions in the picture.
std::array<Pixel, 2> edges_at(const Setup& setup, const Camera& camera, std::size_t corner, Pixel seen) {
    const std::size_t base = corner / 4 * 4;
    std::array<Pixel, 2> out;
    for (std::size_t i = 0; i < 2; ++i) {
        const Vec3 other = setup.places[base + (corner - base + (i == 0 ? 1 : 3)) % 4];
        // A twentieth of the way: the edge's other end may be far out of the picture.
        const auto there = project(camera, setup.places[corner] + 0.05 * (other - setup.places[corner]));
        out[i] = there ? Pixel{there->x - seen.x, there->y - seen.y} : Pixel{1, 0};
    }
    return out;
}

double hand(const Setup& setup, double standard, Dice& dice) {
    return setup.part == Part::heavy_pointing ? dice.heavy(standard) : dice.normal(standard);
}

SeenPlace point_at(const Setup& setup, const View& view, std::size_t place, Pixel seen, Dice& dice) {
    if (setup.rendered) {
        if (place < 4 * setup.rectangles) {
            if (const auto found =
                    find_corner(seen, edges_at(setup, view.truth, place, seen), view.looks, dice))
                return {place, found->at, found->standard};
        } else {  // the end of a bar, marked
            const double radius = 4;
            const double standard = marker_scatter({0, 0}, radius, view.looks, dice);
            if (const auto found = find_marker(seen, {0, 0}, radius, view.looks, dice))
                return {place, *found, standard};
        }
    }
    return {place,
            {seen.x + hand(setup, view.pointing, dice), seen.y + hand(setup, view.pointing, dice)},
            view.pointing};
}

/// One of the deck's far corners is hidden: pieces of the two edges that meet there were pointed at instead.
void hide_corner(const Setup& setup, View& view, Dice& dice) {
    const std::size_t corner = dice.pick(4);
    std::erase_if(view.told.points, [&](const SeenPlace& one) { return one.place == corner; });
    for (const std::size_t other : {(corner + 1) % 4, (corner + 3) % 4}) {
        SeenEdge edge{corner, other, {}, view.pointing};
        for (const double along : {0.35, 0.5, 0.7}) {
            const Vec3 at = setup.places[corner] + along * (setup.places[other] - setup.places[corner]);
            if (const auto seen = in_picture(view.truth, at))
                edge.at.push_back(
                    {seen->x + hand(setup, view.pointing, dice), seen->y + hand(setup, view.pointing, dice)});
        }
        view.told.edges.push_back(edge);
    }
}

/// The camera stands so that the deck, and four places at least, are in its picture.
bool place_camera(const Setup& setup, double angle, LensKnowledge knowledge, View& view, Dice& dice) {
    const Vec3 near_edge = 0.5 * (setup.places[1] + setup.places[2]);
    const Vec3 target = near_edge + (-setup.plane.distance(near_edge) * dice.even(0.5, 1)) * setup.plane.past;
    view.truth.lens = draw_lens(setup, knowledge, dice);
    if (!sees_all_over(view.truth.lens)) return false;
    const double far = dice.even(3, 12), height = dice.even(0.8, 4);
    if (height < setup.places[0].z + 0.1) return false;
    const double way = dice.chance(0.5) ? 1 : -1, side = dice.chance(0.5) ? 1 : -1;
    const Vec3 on_plane = target + -setup.plane.distance(target) * setup.plane.past;
    Vec3 at = on_plane + (far * way * std::cos(angle * kRadians)) * setup.plane.ahead +
              (far * side * std::sin(angle * kRadians)) * setup.plane.past;
    at.z = height;
    const Vec3 aim = target + Vec3{dice.normal(0.3), dice.normal(0.3), dice.even(0, 0.8)};
    stand(view.truth, at, aim, dice.normal(2 * kRadians));
    std::size_t seen = 0;
    for (std::size_t i = 0; i < setup.places.size(); ++i) {
        const bool is = in_picture(view.truth, setup.places[i], 25).has_value();
        if (!is && i < 4) return false;
        seen += is ? 1 : 0;
    }
    return seen >= 4;
}

}  // namespace

bool draw_view(const Setup& setup, const std::vector<KnownPlace>& told, double angle, LensKnowledge knowledge,
               View& view, Dice& dice) {
    bool stands = false;
    for (int i = 0; i < 400 && !stands; ++i)
        stands = place_camera(setup, angle, knowledge, view, dice);
    if (!stands) return false;
    const Lens& lens = view.truth.lens;
    const double size = std::max(lens.width, lens.height) / 1920.0;
    view.pointing = size * dice.any_size(0.5, 2);
    view.limb_pointing = view.pointing * dice.even(1, 3);
    view.looks = {dice.even(0.7, 1.6), dice.even(1, 6), dice.even(50, 130), 1.5};
    Sightings& said = view.told;
    said = {};
    said.width = lens.width;
    said.height = lens.height;
    said.places = told;
    said.knowledge = knowledge;
    if (knowledge == LensKnowledge::measured) {
        said.lens_standard = {dice.any_size(0.001, 0.01), size * dice.any_size(1, 8),
                              dice.any_size(0.002, 0.01)};
        said.lens = lens;
        said.lens.fx *= 1 + dice.normal(said.lens_standard.focal);
        said.lens.fy = said.lens.fx;
        said.lens.cx += dice.normal(said.lens_standard.principal);
        said.lens.cy += dice.normal(said.lens_standard.principal);
        said.lens.k1 += dice.normal(said.lens_standard.k1);
        said.lens.k2 = said.lens.k3 = said.lens.p1 = said.lens.p2 = 0;  // nobody was told of these
    }
    for (std::size_t i = 0; i < setup.places.size(); ++i)
        if (const auto seen = in_picture(view.truth, setup.places[i], 25))
            said.points.push_back(point_at(setup, view, i, *seen, dice));
    if (said.points.size() > 5 && dice.chance(0.2)) hide_corner(setup, view, dice);
    if (setup.part == Part::heavy_pointing && dice.chance(1.0 / 3)) {
        SeenPlace& slipped = said.points[dice.pick(said.points.size())];
        const double way = dice.even(0, 2 * Dice::kPi);
        slipped.at.x += 6 * slipped.standard * std::cos(way);
        slipped.at.y += 6 * slipped.standard * std::sin(way);
    }
    return true;
}

Pointing pointed(const Setup& setup, const View& view, Pixel truth, Pixel smear, Dice& dice) {
    if (setup.rendered) {
        constexpr double kRadius = 5;
        const double standard = marker_scatter(smear, kRadius, view.looks, dice);
        if (const auto found = find_marker(truth, smear, kRadius, view.looks, dice))
            return {*found, standard, {0, 0}};
    }
    const double standard = view.limb_pointing;
    return {{truth.x + hand(setup, standard, dice), truth.y + hand(setup, standard, dice)}, standard, {0, 0}};
}

}  // namespace plumbmark::trials
