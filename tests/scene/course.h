// The harbour warehouse and the course in it: every solid that stands still, what it is made of and which
// surface of the course it belongs to.
#pragma once

#include <string>
#include <vector>

#include "shape.h"

namespace plumbmark::scene {

enum class Material {
    concrete,
    wall,
    steel,
    dark_steel,
    plywood,
    deck_edge,
    mat,
    padding,
    rope,
    yellow_steel,
    red_paint,
    bell_brass,
    crate,
    white_paint,
    bollard_iron,
    glass,
    fan_blade,
    lamp_off
};

/// One solid. 'surface' is the course's name for what it belongs to, empty for what nobody can reach.
struct Solid {
    Shape shape;
    Material material = Material::steel;
    std::string surface;
};

/// A vertical plane x = const that the athlete crosses towards +x.
struct CoursePlane {
    std::string key;
    double x = 0;
    double z_low = 0;
    double z_high = 0;
};

/// A lamp: a disc of light that shines all round, soft by its radius.
struct Lamp {
    Vec3 at;
    double radius = 0.3;
    Vec3 colour;  ///< strength at one metre
};

/// Where things stand, in metres: x along the course, y away from the long side's cameras, z up from the
/// floor.
struct Layout {
    double pier_top = 0.60, coil_top = 0.60, gantry_top = 0.70, quay_top = 0.60;
    double pier_from = -0.1, pier_to = 1.2;
    double coil_from = 3.45, coil_to = 4.45;
    double gantry_from = 6.25, gantry_to = 7.30;
    double quay_from = 9.30, quay_to = 10.45;
    double bollard_x[3] = {1.72, 2.30, 2.88};
    double bollard_y[3] = {-0.09, 0.09, -0.09};
    double bollard_top = 0.62, bollard_radius = 0.17;
    double rung_x[4] = {7.65, 8.05, 8.45, 8.85};
    double rung_z = 2.50, rung_radius = 0.018;
    Vec3 rope_pivot{5.20, 0, 4.70};
    double rope_length = 2.45, rope_radius = 0.022;
    double bell_x = 10.18, bell_z = 1.72;
    Vec3 start_lamp{0.30, 0.95, 1.55};
    Vec3 bell_lamp{10.21, 0, 2.05};
    Vec3 fan{4.6, 3.40, 3.1};
    double fan_radius = 0.42;
};
[[nodiscard]] const Layout& layout();

/// Everything that stands still, in a fixed order.
[[nodiscard]] const std::vector<Solid>& solids();

/// Names of all surfaces of the course, the hawser among them (which moves).
[[nodiscard]] const std::vector<std::string>& surface_keys();

/// The still solids that make up a surface, for distances: boxes, cylinders and capsules only.
[[nodiscard]] std::vector<Shape> shapes_of(const std::string& surface);

[[nodiscard]] const std::vector<CoursePlane>& planes();
[[nodiscard]] const std::vector<Lamp>& lamps();

}  // namespace plumbmark::scene
