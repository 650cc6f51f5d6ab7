#include "course.h"

#include <fmt/format.h>

namespace plumbmark::scene {
namespace {

constexpr double kDeckHalfWidth = 0.62;
constexpr double kDeckThickness = 0.11;

void add(std::vector<Solid>& out, Shape shape, Material material, const std::string& surface = "") {
    out.push_back({shape, material, surface});
}

// A platform: plywood on a painted rim, on four legs with a brace.
void add_deck(std::vector<Solid>& out, const std::string& key, double from, double to, double top) {
    const double w = kDeckHalfWidth;
    add(out, box({from, -w, top - kDeckThickness}, {to, w, top}), Material::plywood, key);
    for (const double x : {from + 0.09, to - 0.09})
        for (const double y : {-w + 0.08, w - 0.08})
            add(out, box({x - 0.04, y - 0.04, 0}, {x + 0.04, y + 0.04, top - kDeckThickness}),
                Material::dark_steel, "uprights");
    for (const double y : {-w + 0.08, w - 0.08})
        add(out, capsule({from + 0.1, y, 0.1}, {to - 0.1, y, top - 0.18}, 0.018), Material::dark_steel,
            "uprights");
}

void add_bollards(std::vector<Solid>& out) {
    const Layout& l = layout();
    for (int i = 0; i < 3; ++i) {
        const double x = l.bollard_x[i];
        const double y = l.bollard_y[i];
        add(out, cylinder({x, y, l.bollard_top - 0.07}, {x, y, l.bollard_top}, l.bollard_radius),
            Material::yellow_steel, fmt::format("bollard_{}", i + 1));
        add(out, cylinder({x, y, 0}, {x, y, l.bollard_top - 0.07}, 0.10), Material::bollard_iron, "uprights");
        add(out, cylinder({x, y, 0}, {x, y, 0.05}, 0.20), Material::bollard_iron, "uprights");
    }
}

void add_gantry(std::vector<Solid>& out) {
    const Layout& l = layout();
    // The rungs hang clear below the side rails, so that a hand on them is seen from the side.
    const double high = l.rung_z + 0.27;
    for (int i = 0; i < 4; ++i) {
        const double x = l.rung_x[i];
        add(out, capsule({x, -0.5, l.rung_z}, {x, 0.5, l.rung_z}, l.rung_radius), Material::steel,
            fmt::format("rung_{}", i + 1));
        for (const double y : {-0.52, 0.52})
            add(out, box({x - 0.015, y - 0.015, l.rung_z - 0.03}, {x + 0.015, y + 0.015, high}),
                Material::dark_steel, "uprights");
    }
    for (const double y : {-0.55, 0.55})
        add(out, box({6.86, y - 0.035, high - 0.05}, {9.75, y + 0.035, high + 0.05}), Material::yellow_steel,
            "uprights");
    for (const double x : {6.90, 9.70}) {
        for (const double y : {-0.80, 0.80})
            add(out, box({x - 0.06, y - 0.06, 0}, {x + 0.06, y + 0.06, high + 0.15}), Material::yellow_steel,
                "uprights");
        add(out, box({x - 0.05, -0.86, high + 0.05}, {x + 0.05, 0.86, high + 0.15}), Material::yellow_steel,
            "uprights");
    }
    // Crash padding round the near columns, up to where a falling athlete could meet them.
    add(out, cylinder({6.90, -0.80, 0.05}, {6.90, -0.80, 1.35}, 0.185), Material::padding, "uprights");
    add(out, cylinder({9.70, -0.80, 0.05}, {9.70, -0.80, 0.55}, 0.16), Material::padding, "uprights");
}

void add_bell(std::vector<Solid>& out) {
    const Layout& l = layout();
    add(out, box({l.bell_x, -0.17, l.bell_z - 0.17}, {l.bell_x + 0.03, 0.17, l.bell_z + 0.17}),
        Material::bell_brass, "bell_plate");
    add(out, box({l.bell_x + 0.03, -0.04, 0.6}, {l.bell_x + 0.09, 0.04, l.bell_z + 0.26}),
        Material::dark_steel, "uprights");
    add(out, capsule({0.30, 0.95, 0}, {0.30, 0.95, 1.45}, 0.025), Material::dark_steel, "uprights");
}

void add_building(std::vector<Solid>& out) {
    const Layout& l = layout();
    add(out, box({-40, -40, -1}, {60, 3.6, 0}), Material::concrete, "floor");
    add(out, box({-40, 3.6, -1}, {60, 4.6, 9}), Material::wall);
    add(out, box({-40, 3.44, 0}, {60, 3.6, 0.55}), Material::white_paint);
    for (int i = 0; i < 7; ++i) {
        const double x = -4.35 + 3.5 * i;
        add(out, box({x - 0.12, 3.30, 0}, {x + 0.12, 3.32, 7}), Material::red_paint);
        add(out, box({x - 0.02, 3.32, 0}, {x + 0.02, 3.60, 7}), Material::red_paint);
        add(out, box({x - 0.12, 3.58, 0}, {x + 0.12, 3.60, 7}), Material::red_paint);
    }
    // Windows high in the wall, and the beam the hawser hangs from.
    for (int i = 0; i < 6; ++i)
        add(out, box({-3.9 + 3.5 * i, 3.56, 4.1}, {-1.4 + 3.5 * i, 3.60, 5.3}), Material::glass);
    add(out, box({l.rope_pivot.x - 0.07, -1.2, 4.72}, {l.rope_pivot.x + 0.07, 3.5, 4.92}),
        Material::yellow_steel);
    add(out, box({-40, -1.3, 4.92}, {60, -1.2, 5.1}), Material::dark_steel);
    // Fan housing.
    add(out, cylinder({l.fan.x, 3.43, l.fan.z}, {l.fan.x, 3.6, l.fan.z}, l.fan_radius + 0.05),
        Material::dark_steel);
    for (int i = 0; i < 12; ++i) {
        const auto corner = [&](int k) {
            return Vec3{l.fan.x + (l.fan_radius + 0.03) * cosine(k * kPi / 6), 3.36,
                        l.fan.z + (l.fan_radius + 0.03) * sine(k * kPi / 6)};
        };
        add(out, capsule(corner(i), corner(i + 1), 0.03), Material::yellow_steel);
    }
    // Gear along the wall.
    add(out, box({1.2, 2.55, 0}, {2.1, 3.3, 0.75}), Material::crate);
    add(out, box({2.2, 2.65, 0}, {2.9, 3.3, 0.55}), Material::crate);
    add(out, box({1.35, 2.65, 0.75}, {1.95, 3.25, 1.2}), Material::crate);
    add(out, cylinder({7.6, 2.9, 0}, {7.6, 2.9, 0.88}, 0.29), Material::mat);
    add(out, cylinder({8.3, 3.0, 0}, {8.3, 3.0, 0.88}, 0.29), Material::red_paint);
    for (int i = 0; i < 4; ++i)
        add(out, cylinder({-1.2, 2.75, 0.02 + 0.09 * i}, {-1.2, 2.75, 0.10 + 0.09 * i}, 0.46 - 0.03 * i),
            Material::rope);
}

std::vector<Solid> build() {
    const Layout& l = layout();
    std::vector<Solid> out;
    add_building(out);
    // Mats lie on the floor and count as floor.
    add(out, box({5.14, -0.95, 0}, {6.15, 0.95, 0.06}), Material::mat, "floor");
    add(out, box({7.45, -0.75, 0}, {9.15, 0.95, 0.10}), Material::mat, "floor");
    add(out, box({1.3, -0.75, 0}, {3.35, 0.85, 0.05}), Material::mat, "floor");
    add_deck(out, "pier_deck", l.pier_from, l.pier_to, l.pier_top);
    add_bollards(out);
    add_deck(out, "coil_deck", l.coil_from, l.coil_to, l.coil_top);
    add_deck(out, "gantry_deck", l.gantry_from, l.gantry_to, l.gantry_top);
    add_gantry(out);
    add_deck(out, "quay_deck", l.quay_from, l.quay_to, l.quay_top);
    add_bell(out);
    return out;
}

}  // namespace

const Layout& layout() {
    static const Layout kLayout;
    return kLayout;
}

const std::vector<Solid>& solids() {
    static const std::vector<Solid> kSolids = build();
    return kSolids;
}

const std::vector<std::string>& surface_keys() {
    static const std::vector<std::string> kKeys = {
        "pier_deck", "bollard_1", "bollard_2", "bollard_3", "coil_deck",  "hawser", "gantry_deck", "rung_1",
        "rung_2",    "rung_3",    "rung_4",    "quay_deck", "bell_plate", "floor",  "uprights"};
    return kKeys;
}

std::vector<Shape> shapes_of(const std::string& surface) {
    std::vector<Shape> out;
    for (const Solid& solid : solids())
        if (solid.surface == surface) out.push_back(solid.shape);
    return out;
}

const std::vector<CoursePlane>& planes() {
    static const std::vector<CoursePlane> kPlanes = {{"gantry_front_plane", layout().gantry_from, 0.0, 2.9}};
    return kPlanes;
}

const std::vector<Lamp>& lamps() {
    static const std::vector<Lamp> kLamps = {{{1.8, -2.3, 6.4}, 0.22, Vec3{1.0, 0.92, 0.80} * 34},
                                             {{6.2, -2.6, 6.6}, 0.22, Vec3{1.0, 0.93, 0.82} * 36},
                                             {{10.2, -1.6, 6.4}, 0.22, Vec3{1.0, 0.91, 0.78} * 31}};
    return kLamps;
}

}  // namespace plumbmark::scene
