#include "moves.h"

#include "base/check.h"

namespace plumbmark::scene {
namespace {

constexpr Build kBuild;
constexpr double kGive = 0.004;       // how far a sole or a grip gives under load
constexpr double kHipHeight = 0.775;  // hip line above the sole, standing easily

double mirrored(Side side, double y) {
    return side == kLeft ? y : -y;
}

}  // namespace

void Script::plant(Side foot, double t, double ankle_x, double y, double top, Ease ease, double lift) {
    const Vec3 toe{ankle_x + kBuild.ankle_back, y, top + kBuild.foot_radius - kGive};
    c.toe[foot].push_back({t, Anchor::world, toe, ease, lift});
    c.pitch[foot].key(t - 0.035, 0);
}

void Script::stay(Side foot, double t) {
    PLUMBMARK_CHECK(!c.toe[foot].empty());
    LimbKey key = c.toe[foot].back();
    key.t = t;
    key.lift = 0;
    c.toe[foot].push_back(key);
}

void Script::leave(Side foot, double t) {
    stay(foot, t);
    c.pitch[foot].key(t - 0.13, 0);
    c.pitch[foot].key(t + 0.03, -0.75);
}

void Script::carry_foot(Side foot, double t, Vec3 from_pelvis, double pitch, Ease ease) {
    from_pelvis.y = mirrored(foot, from_pelvis.y);
    c.toe[foot].push_back({t, Anchor::pelvis, from_pelvis, ease, 0});
    c.pitch[foot].key(t, pitch);
}

void Script::arm(Side hand, double t, Vec3 from_shoulders) {
    from_shoulders.y = mirrored(hand, from_shoulders.y);
    c.hand[hand].push_back({t, Anchor::trunk, from_shoulders, Ease::soft, 0});
}

void Script::hold(Side hand, double t, Anchor anchor, Vec3 at, Ease ease, double lift) {
    c.hand[hand].push_back({t, anchor, at, ease, lift});
}

void Script::keep(Side hand, double t) {
    PLUMBMARK_CHECK(!c.hand[hand].empty());
    LimbKey key = c.hand[hand].back();
    key.t = t;
    key.lift = 0;
    c.hand[hand].push_back(key);
}

void Script::arms_down(double t) {
    arm(kLeft, t, {0.10, 0.21, -0.50});
    arm(kRight, t, {0.10, 0.21, -0.50});
}

void Script::arms_out(double t) {
    arm(kLeft, t, {0.20, 0.46, -0.14});
    arm(kRight, t, {0.24, 0.44, -0.10});
}

void stand_at_start(Script& s) {
    const double top = layout().pier_top;
    s.plant(kLeft, 0.05, 0.86, 0.10, top);
    s.plant(kRight, 0.05, 0.98, -0.10, top);
    s.c.pelvis.knot(0.0, {0.90, 0, top + kHipHeight - 0.01}, {});
    s.c.lean.key(0, 0.08);
    s.c.twist.key(0, 0);
    s.arms_down(0);
}

namespace {

// One swing of the arms against the legs: the arm of 'forward' leads.
void pump(Script& s, double t, Side forward) {
    const Side back = forward == kLeft ? kRight : kLeft;
    s.arm(forward, t, {0.30, 0.16, -0.20});
    s.arm(back, t, {-0.24, 0.24, -0.32});
    s.c.twist.key(t, forward == kLeft ? 0.30 : -0.30);
}

// A foot that pushed off at 'off' swings through and comes down at 'on'.
void swing_leg(Script& s, Side foot, double off, double on) {
    s.leave(foot, off);
    s.carry_foot(foot, off + 0.14, {-0.16, 0.09, -0.60}, -0.9);
    s.carry_foot(foot, mix(off, on, 0.55), {0.05, 0.09, -0.52}, -0.4, Ease::soft);
    s.carry_foot(foot, on - 0.11, {0.27, 0.08, -0.60}, 0.05, Ease::soft);
}

}  // namespace

double hop_bollards(Script& s, double go, const DeckLanding& landing) {
    const Layout& l = layout();
    const double up = l.bollard_top + 0.765;
    Path& p = s.c.pelvis;
    // Weight forward, down, and off.
    const double t0 = go + 0.42;
    s.arms_down(go);
    s.c.lean.key(go, 0.08);
    s.c.lean.key(go + 0.25, 0.55);
    s.c.lean.key(t0, 0.22);
    s.c.twist.key(go, 0);
    s.arm(kLeft, go + 0.22, {-0.25, 0.24, -0.36});
    s.arm(kRight, go + 0.22, {-0.28, 0.24, -0.34});
    p.knot(go, {0.90, 0, l.pier_top + kHipHeight - 0.01}, {});
    p.through(go + 0.24, {0.97, 0, l.pier_top + 0.60});
    s.leave(kLeft, t0 - 0.05);
    s.leave(kRight, t0);
    const double t1 = t0 + 0.30;
    const double t2 = t1 + 0.20;
    const double t3 = t2 + 0.28;
    const double t4 = t3 + 0.20;
    const double t5 = t4 + 0.28;
    const double t6 = t5 + 0.20;
    const double t7 = t6 + landing.seconds;
    p.fly(t0, {1.17, 0, l.pier_top + 0.82}, t1, {l.bollard_x[0] - 0.10, -0.03, up});
    p.fly(t2, {l.bollard_x[0] + 0.12, -0.03, up + 0.05}, t3, {l.bollard_x[1] - 0.11, 0.03, up});
    p.fly(t4, {l.bollard_x[1] + 0.12, 0.03, up + 0.05}, t5, {l.bollard_x[2] - 0.11, -0.03, up});
    p.fly(t6, {l.bollard_x[2] + 0.13, -0.03, up + 0.05}, t7, landing.pelvis);
    // The ankle stands 4 cm behind the middle of the foot.
    const double back = 0.042;
    s.carry_foot(kRight, t0 + 0.10, {0.02, 0.08, -0.58}, -0.5);
    s.carry_foot(kRight, t1 - 0.11, {0.27, 0.07, -0.60}, 0.05, Ease::soft);
    s.plant(kRight, t1, l.bollard_x[0] - back, l.bollard_y[0], l.bollard_top, Ease::impact);
    s.carry_foot(kLeft, t0 + 0.10, {-0.20, 0.09, -0.60}, -0.9);
    s.carry_foot(kLeft, t1 + 0.12, {-0.02, 0.09, -0.50}, -0.5, Ease::soft);
    s.carry_foot(kLeft, t3 - 0.11, {0.27, 0.07, -0.60}, 0.05, Ease::soft);
    s.plant(kLeft, t3, l.bollard_x[1] - back, l.bollard_y[1], l.bollard_top, Ease::impact);
    swing_leg(s, kRight, t2, t5);
    s.plant(kRight, t5, l.bollard_x[2] - back, l.bollard_y[2], l.bollard_top, Ease::impact);
    swing_leg(s, kLeft, t4, t7);
    s.plant(kLeft, t7, landing.left_ankle, 0.09, l.coil_top, Ease::impact);
    pump(s, t0, kLeft);
    pump(s, t1 + 0.1, kLeft);
    pump(s, t3 + 0.1, kRight);
    pump(s, t5 + 0.1, kLeft);
    s.c.lean.key(t1, 0.25);
    s.c.lean.key(t6, 0.22);
    s.leave(kRight, t6);
    return t7;
}

double settle_on_coil(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    s.carry_foot(kRight, t - 0.15, {-0.14, 0.09, -0.62}, -0.7);
    s.plant(kRight, t + 0.13, 3.84, -0.09, l.coil_top, Ease::impact);
    p.through(t + 0.16, {3.76, 0, l.coil_top + 0.60});
    p.knot(t + 0.55, {3.84, 0, l.coil_top + kHipHeight}, {});
    s.c.lean.key(t, 0.25);
    s.c.lean.key(t + 0.2, 0.5);
    s.c.lean.key(t + 0.6, 0.06);
    s.arms_out(t + 0.18);
    s.c.twist.key(t + 0.18, 0);
    s.arms_down(t + 0.65);
    // Two short steps to the edge.
    const double w = t + 0.85;
    s.stay(kLeft, t + 0.70);
    s.plant(kLeft, w + 0.20, 4.14, 0.09, l.coil_top, Ease::soft, 0.07);
    s.stay(kRight, w + 0.10);
    s.plant(kRight, w + 0.48, 4.22, -0.09, l.coil_top, Ease::soft, 0.07);
    p.knot(t + 0.68, {3.84, 0, l.coil_top + kHipHeight}, {});
    p.through(w + 0.20, {4.02, 0, l.coil_top + kHipHeight - 0.02});
    p.knot(w + 0.55, {4.16, 0, l.coil_top + kHipHeight - 0.01}, {});
    return w + 0.75;
}

double swing_over(Script& s, double go) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    constexpr double kMassLength = 3.10;
    constexpr double kBehind = 0.22;  // the body hangs this far behind the line of the hawser
    const double off = go + 0.45;
    const double grab = off + 0.30;
    p.knot(go, {4.16, 0, l.coil_top + kHipHeight - 0.01}, {});
    p.through(go + 0.25, {4.18, 0, l.coil_top + 0.58});
    const Vec3 leave_at{4.37, 0, l.coil_top + 0.82};
    const Vec3 grab_at = l.rope_pivot + Vec3{-kBehind, 0, -kMassLength};
    p.fly(off, leave_at, grab, grab_at);
    const double rate = p.velocity(grab - 1e-9).x / kMassLength;
    s.c.hawser.carry(grab, rate, kMassLength);
    // The mass follows the pendulum until the hawser stands 17 degrees forward.
    double release = grab;
    while (s.c.hawser.at(release).angle < 0.30) {
        release += 0.01;
        const Swing swing = s.c.hawser.at(release);
        const double cs = cosine(swing.angle);
        const double sn = sine(swing.angle);
        const Vec3 at = l.rope_pivot + Vec3{sn, 0, -cs} * kMassLength - Vec3{cs, 0, sn} * kBehind;
        p.knot(release, at, (Vec3{cs, 0, sn} * kMassLength + Vec3{sn, 0, -cs} * kBehind) * swing.rate);
    }
    s.c.hawser.let_go(release);
    const double down = release + 0.31;
    const Vec3 v = p.velocity(release - 1e-9);
    const double h = down - release;
    p.fly(release, p.last_point(), down, p.last_point() + v * h - Vec3{0, 0, 0.5 * kGravity * h * h});

    s.c.lean.key(go, 0.06);
    s.c.lean.key(go + 0.27, 0.55);
    s.c.lean.key(off + 0.1, 0.10);
    s.c.lean.key(grab + 0.2, -0.14);
    s.c.lean.key(release, -0.26);
    s.c.lean.key(release + 0.15, -0.24);
    s.c.lean.key(down, 0.20);
    s.arms_down(go);
    for (const Side side : {kLeft, kRight}) {
        const double y = side == kLeft ? 0.012 : -0.012;
        const double below = side == kLeft ? 2.26 : 2.38;
        s.arm(side, go + 0.25, {-0.28, 0.22, -0.34});
        s.arm(side, off - 0.04, {0.28, 0.14, 0.02});
        s.hold(side, grab - (side == kLeft ? 0.02 : 0.0), Anchor::hawser, {-0.050, y, below});
        s.keep(side, release - (side == kLeft ? 0.03 : 0.0));
        s.arm(side, release + 0.16, {0.34, 0.20, 0.05});
        s.leave(side, off - (side == kLeft ? 0.02 : 0.0));
        s.carry_foot(side, off + 0.13, {-0.10, 0.08, -0.66}, -0.8);
        s.carry_foot(side, grab + 0.18, {0.22, 0.08, -0.52}, -0.5, Ease::soft);
        s.carry_foot(side, release - 0.05, {0.42, 0.08, -0.46}, -0.2, Ease::soft);
        s.carry_foot(side, down - 0.10, {0.25, 0.08, -0.58}, 0.05, Ease::soft);
    }
    return down;
}

double settle_on_gantry(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    s.plant(kRight, t, 6.52, -0.09, l.gantry_top, Ease::impact);
    s.plant(kLeft, t + 0.035, 6.47, 0.09, l.gantry_top, Ease::impact);
    p.through(t + 0.17, {6.58, 0, l.gantry_top + 0.53});
    p.knot(t + 0.60, {6.56, 0, l.gantry_top + kHipHeight - 0.01}, {});
    s.c.lean.key(t + 0.2, 0.62);
    s.c.lean.key(t + 0.65, 0.07);
    s.arms_out(t + 0.2);
    s.arms_down(t + 0.75);
    const double w = t + 0.95;
    s.stay(kRight, w);
    s.plant(kRight, w + 0.32, 6.92, -0.09, l.gantry_top, Ease::soft, 0.07);
    s.stay(kLeft, w + 0.30);
    s.plant(kLeft, w + 0.62, 6.98, 0.09, l.gantry_top, Ease::soft, 0.07);
    p.knot(t + 0.80, {6.56, 0, l.gantry_top + kHipHeight - 0.01}, {});
    p.through(w + 0.30, {6.76, 0, l.gantry_top + kHipHeight - 0.03});
    p.knot(w + 0.66, {6.96, 0, l.gantry_top + kHipHeight - 0.01}, {});
    return w + 0.72;
}

namespace {

constexpr Vec3 kHang{0, 0, -0.87};  // pelvis below the rung it hangs from

Vec3 on_rung(int rung, Side side, double y) {
    const Layout& l = layout();
    return {l.rung_x[rung - 1], mirrored(side, y), l.rung_z - (l.rung_radius + kBuild.hand_radius) + kGive};
}

}  // namespace

double leap_to_rungs(Script& s, double go) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    const double off = go + 0.45;
    const double grab = off + 0.24;
    p.knot(go, {6.96, 0, l.gantry_top + kHipHeight - 0.01}, {});
    p.through(go + 0.26, {6.97, 0, l.gantry_top + 0.56});
    p.fly(off, {7.10, 0, l.gantry_top + 0.82}, grab, {7.38, 0, 1.63});
    s.c.lean.key(go, 0.07);
    s.c.lean.key(go + 0.27, 0.5);
    s.c.lean.key(off, 0.08);
    s.c.lean.key(grab + 0.2, -0.05);
    s.arms_down(go);
    for (const Side side : {kLeft, kRight}) {
        s.arm(side, go + 0.25, {-0.28, 0.22, -0.34});
        s.arm(side, go + 0.34, {0.20, 0.25, -0.28});
        s.arm(side, off - 0.01, {0.30, 0.16, 0.16});
        s.hold(side, grab + (side == kLeft ? 0.015 : 0.0), Anchor::world, on_rung(1, side, 0.17));
        s.leave(side, off - (side == kLeft ? 0.015 : 0.0));
        s.carry_foot(side, off + 0.14, {-0.14, 0.08, -0.68}, -0.9);
        s.carry_foot(side, grab + 0.30, {0.26, 0.07, -0.62}, -0.5, Ease::soft);
    }
    return grab + 0.02;
}

double cross_rungs(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    const double low = l.rung_z + kHang.z;
    p.through(t + 0.30, {7.72, 0, low - 0.03});
    p.through(t + 0.52, {7.70, 0.01, low});
    p.through(t + 0.80, {7.86, -0.01, low});
    p.through(t + 1.25, {8.26, 0.01, low});
    p.through(t + 1.70, {8.62, -0.01, low});
    p.through(t + 2.10, {8.82, 0, low});
    p.through(t + 2.36, {8.70, 0, low + 0.03});
    s.keep(kLeft, t + 0.48);
    s.hold(kLeft, t + 0.78, Anchor::world, on_rung(2, kLeft, 0.16), Ease::impact, -0.10);
    s.keep(kRight, t + 0.90);
    s.hold(kRight, t + 1.24, Anchor::world, on_rung(3, kRight, 0.16), Ease::impact, -0.12);
    s.keep(kLeft, t + 1.36);
    s.hold(kLeft, t + 1.70, Anchor::world, on_rung(4, kLeft, 0.16), Ease::impact, -0.12);
    s.keep(kRight, t + 1.82);
    s.hold(kRight, t + 2.10, Anchor::world, on_rung(4, kRight, 0.16), Ease::impact, -0.10);
    const double release = t + 2.66;
    const double down = release + 0.30;
    s.keep(kLeft, release - 0.02);
    s.keep(kRight, release);
    p.fly(release, {8.98, 0, low + 0.02}, down, {9.42, 0, l.quay_top + 0.68});
    s.c.lean.key(t + 2.2, -0.05);
    s.c.lean.key(t + 2.4, 0.12);
    s.c.lean.key(release, -0.25);
    s.c.lean.key(down, 0.20);
    s.c.lean.key(down + 0.2, 0.55);
    s.c.lean.key(down + 0.65, 0.07);
    const double swings[] = {0.60, 1.05, 1.50, 1.95};
    for (const Side side : {kLeft, kRight}) {
        double forward = side == kLeft ? 0.24 : 0.02;
        for (const double at : swings) {
            s.carry_foot(side, t + at, {forward, 0.07, -0.66}, -0.6, Ease::soft);
            forward = 0.26 - forward;
        }
        s.carry_foot(side, t + 2.36, {-0.22, 0.07, -0.64}, -0.9, Ease::soft);
        s.carry_foot(side, release, {0.40, 0.07, -0.54}, -0.2, Ease::soft);
        s.carry_foot(side, down - 0.09, {0.27, 0.08, -0.58}, 0.05, Ease::soft);
        s.arm(side, release + 0.2, {0.32, 0.22, 0.05});
    }
    s.plant(kRight, down, 9.50, -0.09, l.quay_top, Ease::impact);
    s.plant(kLeft, down + 0.03, 9.46, 0.09, l.quay_top, Ease::impact);
    p.through(down + 0.17, {9.53, 0, l.quay_top + 0.54});
    p.knot(down + 0.60, {9.54, 0, l.quay_top + kHipHeight - 0.01}, {});
    s.arms_out(down + 0.2);
    s.arms_down(down + 0.70);
    return down + 0.75;
}

double strike_bell(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    p.knot(t, {9.54, 0, l.quay_top + kHipHeight - 0.01}, {});
    s.stay(kRight, t);
    s.plant(kRight, t + 0.30, 9.80, -0.09, l.quay_top, Ease::soft, 0.07);
    s.stay(kLeft, t + 0.28);
    s.plant(kLeft, t + 0.58, 9.72, 0.09, l.quay_top, Ease::soft, 0.06);
    p.through(t + 0.30, {9.65, 0, l.quay_top + kHipHeight - 0.02});
    p.knot(t + 0.62, {9.76, 0, l.quay_top + kHipHeight - 0.02}, {});
    const double hit = t + 0.62;
    s.c.lean.key(t, 0.07);
    s.c.lean.key(hit, 0.16);
    s.c.twist.key(t, 0);
    s.c.twist.key(t + 0.35, 0.25);
    s.c.twist.key(hit, -0.35);
    s.arms_down(t);
    s.arm(kRight, t + 0.36, {-0.12, 0.26, 0.02});
    s.arm(kLeft, t + 0.36, {0.22, 0.20, -0.34});
    const double face = l.bell_x - kBuild.hand_radius + kGive;
    s.hold(kRight, hit, Anchor::world, {face, -0.06, l.bell_z + 0.03});
    s.keep(kRight, hit + 0.11);
    s.arm(kRight, hit + 0.5, {0.16, 0.22, -0.42});
    s.arm(kLeft, hit + 0.5, {0.10, 0.21, -0.50});
    s.c.twist.key(hit + 0.4, 0);
    s.c.lean.key(hit + 0.6, 0.05);
    return hit + 1.2;
}

}  // namespace plumbmark::scene
