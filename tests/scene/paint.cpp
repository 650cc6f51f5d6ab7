#include "paint.h"

#include <algorithm>

namespace plumbmark::scene {
namespace {

double cloud(double x, double y, std::uint32_t seed) {
    return 0.5 * value_noise(x, y, seed) + 0.3 * value_noise(2.1 * x, 2.1 * y, seed + 1) +
           0.2 * value_noise(4.3 * x, 4.3 * y, seed + 2);
}

// A coordinate pair along the face, so that textures do not smear on upright faces.
struct Flat {
    double u, v;
};
Flat along_face(Vec3 p, Vec3 n) {
    if (std::fabs(n.z) > 0.7) return {p.x, p.y};
    return std::fabs(n.y) > 0.7 ? Flat{p.x, p.z} : Flat{p.y, p.z};
}

// Distance to the nearest multiple of a period.
double to_line(double v, double period) {
    const double u = v / period;
    return std::fabs(u - std::floor(u + 0.5)) * period;
}

Paint concrete(Vec3 p, Vec3 n) {
    const double tone = 0.72 + 0.34 * cloud(p.x * 0.7, p.y * 0.7, 11) +
                        0.16 * (value_noise(p.x * 9, p.y * 9, 15) - 0.5) +
                        0.10 * (value_noise(p.x * 34, p.y * 34, 16) - 0.5);
    Vec3 c = Vec3{0.235, 0.228, 0.215} * tone;
    const double joint = std::min(to_line(p.x + 0.8, 3.0), to_line(p.y + 1.9, 3.0));
    c = c * mix(0.55, 1.0, smooth(0.006, 0.018, joint));
    // The lane's edges, worn.
    const double lane = std::min(std::fabs(p.y + 1.55), std::fabs(p.y - 1.55));
    if (lane < 0.05 && p.x > -0.8 && p.x < 11.3) {
        const double wear = smooth(0.28, 0.50, cloud(p.x * 3, p.y * 9, 31));
        c = mix(c, Vec3{0.55, 0.36, 0.03}, 0.9 * wear * (1 - smooth(0.042, 0.05, lane)));
    }
    return {c, n, {}};
}

// Trapezoid sheet: crests and valleys 0.24 m apart.
Paint wall(Vec3 p, Vec3 n) {
    if (n.y > -0.5) return {{0.25, 0.27, 0.28}, n, {}};
    const double u = p.x / 0.24 - std::floor(p.x / 0.24);
    const double slope = u < 0.12 ? -0.75 : u > 0.38 && u < 0.50 ? 0.75 : 0.0;
    const double groove = u >= 0.12 && u <= 0.38 ? 0.80 : 1.0;
    const double stain = 0.85 + 0.30 * cloud(p.x * 1.6, p.z * 0.25, 41) - 0.10 * smooth(1.2, 0.0, p.z);
    return {Vec3{0.245, 0.285, 0.295} * (groove * stain), unit(n + Vec3{slope, 0, 0}), {}};
}

Paint plywood(Vec3 p, Vec3 n) {
    const Flat f = along_face(p, n);
    if (std::fabs(n.z) < 0.5) {
        // The rim: a painted edge band with the plies below.
        const double band = value_noise(f.u * 7, f.v * 90, 52);
        return {Vec3{0.50, 0.055, 0.035} * (0.85 + 0.3 * band), n, {}};
    }
    const double grain =
        value_noise(f.u * 3.0, f.v * 42, 51) * 0.5 + value_noise(f.u * 9, f.v * 130, 53) * 0.3;
    Vec3 c = mix(Vec3{0.36, 0.235, 0.125}, Vec3{0.52, 0.365, 0.205}, grain + 0.15);
    c = c * mix(0.6, 1.0, smooth(0.001, 0.006, to_line(p.y, 0.31)));
    return {c * (0.85 + 0.25 * cloud(f.u * 5, f.v * 5, 54)), n, {}};
}

Paint plain(Vec3 colour, double spread, double scale, Vec3 p, Vec3 n) {
    const Flat f = along_face(p, n);
    return {colour * (1 - spread / 2 + spread * cloud(f.u * scale, f.v * scale, 61)), n, {}};
}

Paint mat(Vec3 p, Vec3 n) {
    const Flat f = along_face(p, n);
    const double seam = std::min(to_line(f.u - 0.15, 1.0), 1.0);
    return {Vec3{0.035, 0.075, 0.20} * (0.8 + 0.4 * cloud(f.u * 4, f.v * 4, 71)) *
                mix(0.5, 1.0, smooth(0.004, 0.014, seam)),
            n,
            {}};
}

Paint padding(Vec3 p, Vec3 n) {
    const double strap = std::min(std::fabs(p.z - 0.30), std::fabs(p.z - 1.05));
    const Vec3 c = strap < 0.025 ? Vec3{0.03, 0.03, 0.03} : Vec3{0.42, 0.075, 0.025};
    return {c * (0.8 + 0.4 * cloud(p.y * 4 + p.x * 3, p.z * 3, 72)), n, {}};
}

Paint crate(Vec3 p, Vec3 n) {
    const Flat f = along_face(p, n);
    const double slat = to_line(f.v + 0.03, 0.15);
    const Vec3 c = mix(Vec3{0.20, 0.125, 0.06}, Vec3{0.34, 0.22, 0.11}, value_noise(f.u * 3, f.v * 30, 81));
    return {c * mix(0.35, 1.0, smooth(0.004, 0.012, slat)), n, {}};
}

}  // namespace

Paint paint_of(const Solid& solid, Vec3 p, Vec3 n) {
    switch (solid.material) {
        case Material::concrete:
            return concrete(p, n);
        case Material::wall:
            return wall(p, n);
        case Material::plywood:
            return plywood(p, n);
        case Material::mat:
            return mat(p, n);
        case Material::padding:
            return padding(p, n);
        case Material::crate:
            return crate(p, n);
        case Material::glass: {
            const double bar = std::min(to_line(p.x, 0.5), to_line(p.z - 4.7, 0.6));
            const double sky = 0.85 + 0.3 * cloud(p.x * 0.5, p.z * 0.7, 91);
            return bar < 0.02 ? Paint{{0.05, 0.05, 0.05}, n, {}}
                              : Paint{{0.02, 0.02, 0.02}, n, Vec3{0.66, 0.78, 0.90} * sky};
        }
        case Material::steel:
            return plain({0.48, 0.48, 0.50}, 0.2, 12, p, n);
        case Material::dark_steel:
            return plain({0.055, 0.06, 0.065}, 0.5, 5, p, n);
        case Material::yellow_steel:
            return plain({0.58, 0.38, 0.035}, 0.35, 4, p, n);
        case Material::red_paint:
            return plain({0.33, 0.06, 0.04}, 0.5, 1.5, p, n);
        case Material::bell_brass:
            return plain({0.62, 0.44, 0.12}, 0.3, 9, p, n);
        case Material::bollard_iron:
            return plain({0.05, 0.05, 0.055}, 0.6, 9, p, n);
        case Material::white_paint:
            return plain({0.42, 0.42, 0.40}, 0.4, 2.2, p, n);
        case Material::rope:
            return plain({0.40, 0.31, 0.19}, 0.6, 25, p, n);
        default:
            return plain({0.3, 0.3, 0.3}, 0.2, 3, p, n);
    }
}

}  // namespace plumbmark::scene
