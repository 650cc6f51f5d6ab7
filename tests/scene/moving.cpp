// The things that move: the athlete, the hawser, the wall's fan, the signal lamps.
#include <algorithm>

#include "contacts.h"
#include "frame.h"

namespace plumbmark::scene {
namespace {

void add_fan(double t, std::vector<MovingSolid>& out) {
    const Layout& l = layout();
    const double turn = 2 * kPi * 0.83 * t;
    for (int i = 0; i < 4; ++i) {
        const double a = turn + i * kPi / 2;
        const Vec3 along{cosine(a), 0, sine(a)};
        const Vec3 across = cross(along, {0, 1, 0});
        const Vec3 tilted = unit(across + Vec3{0, 0.45, 0});
        MovingSolid blade;
        blade.shape =
            ellipsoid(l.fan + along * 0.22, {0.19, 0.085, 0.012}, {along, tilted, cross(along, tilted)});
        blade.albedo = {0.30, 0.31, 0.31};
        blade.athlete = false;
        out.push_back(blade);
    }
    MovingSolid hub;
    hub.shape = capsule(l.fan, l.fan - Vec3{0, 0.03, 0}, 0.07);
    hub.albedo = {0.28, 0.19, 0.02};
    hub.athlete = false;
    out.push_back(hub);
}

void add_lamp(Vec3 at, Vec3 glow, Vec3 dull, bool lit, std::vector<MovingSolid>& out) {
    MovingSolid lamp;
    lamp.shape = capsule(at, at, 0.055);
    lamp.albedo = dull;
    lamp.glow = lit ? glow : Vec3{};
    lamp.athlete = false;
    out.push_back(lamp);
}

// The bell plate's lamp shines for 0.6 s after each stroke.
bool bell_lit(const Run& run, double t) {
    return std::any_of(run.bells.begin(), run.bells.end(),
                       [&](double at) { return t >= at && t < at + 0.6; });
}

void add_hawser(const Run& run, double t, std::vector<MovingSolid>& out) {
    MovingSolid rope;
    rope.shape = run.moves.hawser.solid(t);
    rope.albedo = {0.42, 0.33, 0.20};
    rope.athlete = false;
    out.push_back(rope);
    // The whipping at its end.
    const Layout& l = layout();
    rope.shape = capsule(run.moves.hawser.point(t, l.rope_length - 0.07),
                         run.moves.hawser.point(t, l.rope_length), 0.026);
    rope.albedo = {0.45, 0.07, 0.04};
    out.push_back(rope);
}

}  // namespace

std::vector<MovingSolid> moving_at(const Run& run, double t) {
    std::vector<MovingSolid> out;
    for (const BodySolid& solid : body_of(skeleton_of(run.moves.posture(t)))) {
        MovingSolid m;
        m.shape = solid.shape;
        m.cloth = solid.cloth;
        out.push_back(m);
    }
    add_hawser(run, t, out);
    add_fan(t, out);
    const Layout& l = layout();
    const bool started = t >= run.beep;
    add_lamp(l.start_lamp, {1.6, 0.10, 0.05}, {0.20, 0.02, 0.02}, !started, out);
    add_lamp(l.start_lamp + Vec3{0, 0, 0.13}, {0.15, 1.5, 0.30}, {0.02, 0.12, 0.03}, started, out);
    add_lamp(l.bell_lamp, {1.9, 1.6, 0.7}, {0.16, 0.13, 0.05}, bell_lit(run, t), out);
    return out;
}

}  // namespace plumbmark::scene
