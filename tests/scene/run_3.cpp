#include "moves.h"
#include "runs.h"

namespace plumbmark::scene {
namespace {

// Hangs from the first rung, swings the legs up, hooks the right foot behind the second, gives up and drops.
double hook_a_foot(Script& s, double t) {
    const Layout& l = layout();
    constexpr Build kBuild;
    Path& p = s.c.pelvis;
    p.through(t + 0.28, {7.70, 0, 1.62});
    p.through(t + 0.60, {7.46, 0, 1.63});
    p.through(t + 1.05, {7.80, 0, 1.86});
    p.through(t + 1.50, {7.79, 0, 1.88});
    p.through(t + 1.95, {7.66, 0, 1.66});
    const double drop = t + 2.35;
    p.knot(drop, {7.74, 0, 1.63}, {0.25, 0, 0});
    const double h = 0.385;
    const double down = drop + h;
    p.fly(drop, {7.74, 0, 1.63}, down, {7.84, 0, 1.63 - 0.5 * kGravity * h * h});
    for (const Side side : {kLeft, kRight}) {
        s.keep(side, drop - (side == kLeft ? 0.012 : 0.0));
        s.arm(side, drop + 0.25, {0.30, 0.26, 0.12});
        s.carry_foot(side, t + 0.58, {-0.16, 0.07, -0.66}, -0.8, Ease::soft);
    }
    s.c.lean.key(t + 0.30, -0.10);
    s.c.lean.key(t + 0.55, 0.15);
    s.c.lean.key(t + 1.05, -1.00);
    s.c.lean.key(t + 1.50, -1.02);
    s.c.lean.key(t + 2.0, -0.05);
    s.c.lean.key(down, 0.15);
    s.c.lean.key(down + 0.2, 0.60);
    s.c.lean.key(down + 0.8, 0.10);
    s.carry_foot(kRight, t + 0.79, {0.46, 0.07, -0.26}, 0.2, Ease::soft);
    s.carry_foot(kRight, t + 0.98, {0.26, 0.07, 0.30}, 0.9, Ease::soft);
    const double under = l.rung_z - (l.rung_radius + kBuild.foot_radius) * 0.80;
    const Vec3 hooked{l.rung_x[1] - 0.028, -0.12, under};
    s.c.toe[kRight].push_back({t + 1.10, Anchor::world, hooked, Ease::impact, 0});
    s.c.pitch[kRight].key(t + 1.10, 1.15);
    s.stay(kRight, t + 1.46);
    s.c.pitch[kRight].key(t + 1.46, 1.15);
    s.carry_foot(kRight, t + 1.66, {0.30, 0.07, 0.20}, 0.7);
    s.carry_foot(kRight, t + 1.86, {0.50, 0.08, -0.26}, 0.1, Ease::soft);
    s.carry_foot(kRight, t + 2.05, {0.14, 0.08, -0.68}, -0.6, Ease::soft);
    s.carry_foot(kLeft, t + 1.05, {0.36, 0.08, 0.02}, 0.5, Ease::soft);
    s.carry_foot(kLeft, t + 1.50, {0.38, 0.08, 0.00}, 0.5, Ease::soft);
    s.carry_foot(kLeft, t + 2.05, {0.10, 0.08, -0.69}, -0.6, Ease::soft);
    for (const Side side : {kLeft, kRight})
        s.carry_foot(side, down - 0.09, {0.20, 0.09, -0.62}, -0.05, Ease::soft);
    const double mat = 0.10;
    s.plant(kRight, down, 7.93, -0.11, mat, Ease::impact);
    s.plant(kLeft, down + 0.025, 7.89, 0.11, mat, Ease::impact);
    p.through(down + 0.17, {7.93, 0, mat + 0.52});
    p.knot(down + 0.75, {7.93, 0, mat + 0.765}, {});
    s.arms_out(down + 0.2);
    s.arms_down(down + 0.9);
    return down + 1.3;
}

}  // namespace

// A foot on an item that hands alone may use.
Run foot_on_a_rung() {
    Run run;
    run.key = "run-3";
    run.title = "A foot on a hands-only item";
    run.outfit = {{0.50, 0.29, 0.19}, {0.42, 0.04, 0.06}, {0.55, 0.55, 0.55}, {0.04, 0.06, 0.16},
                  {0.04, 0.05, 0.12}, {0.05, 0.35, 0.12}, {0.62, 0.62, 0.60}};
    run.beep = 0.90;
    Script s;
    stand_at_start(s);
    double t = hop_bollards(s, run.beep + 0.25, DeckLanding{});
    t = settle_on_coil(s, t);
    t = swing_over(s, t);
    t = settle_on_gantry(s, t);
    t = leap_to_rungs(s, t);
    t = hook_a_foot(s, t);
    run.end = t;
    s.c.finish();
    run.moves = s.c;

    View a = long_side_view("run-3-a");
    a.clock = {{1, 15360}, 0, 256, 0, 0, 0};
    a.offset = {-300'000'000};
    a.from = {300'000'000};
    a.to = {static_cast<std::int64_t>(run.end * 1e9)};
    run.views = {a};

    // The first two stations are cleared as in a clean run. The rungs allow hands only: the right foot behind
    // the second rung is a touch by a part that the item does not allow, and it comes before the drop to the
    // floor.
    run.rulings = {
        {"bollard_hop", Verdict::clear, {}, "a foot comes down on the coil deck after the bollards"},
        {"hawser_swing", Verdict::clear, {}, "both feet stand on the gantry deck past its front plane"},
        {"gantry_rungs", Verdict::fail, {}, "the right foot touches the second rung, which hands alone may"}};
    return run;
}

}  // namespace plumbmark::scene
