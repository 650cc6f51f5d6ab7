#include "moves.h"
#include "runs.h"

namespace plumbmark::scene {
namespace {

// Comes off the hawser running: right foot, left foot, and straight up to the rungs off the left. For about
// 55 ms both feet are on the deck.
double run_through_gantry(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    s.plant(kRight, t, 6.44, -0.09, l.gantry_top, Ease::impact);
    s.carry_foot(kLeft, t + 0.06, {0.24, 0.08, -0.44}, 0.0, Ease::soft);
    s.plant(kLeft, t + 0.215, 6.94, 0.09, l.gantry_top, Ease::impact);
    s.leave(kRight, t + 0.245);
    s.carry_foot(kRight, t + 0.39, {-0.14, 0.09, -0.60}, -0.9);
    const double off = t + 0.48;
    const double grab = off + 0.23;
    p.through(t + 0.14, {6.66, 0, l.gantry_top + 0.66});
    p.through(t + 0.28, {6.86, 0, l.gantry_top + 0.66});
    p.fly(off, {7.13, 0, l.gantry_top + 0.83}, grab, {7.38, 0, 1.64});
    s.leave(kLeft, off);
    s.carry_foot(kRight, off + 0.06, {0.20, 0.09, -0.42}, -0.5, Ease::soft);
    s.carry_foot(kLeft, off + 0.14, {-0.14, 0.08, -0.68}, -0.9);
    s.c.lean.key(t + 0.1, 0.22);
    s.c.lean.key(t + 0.3, 0.34);
    s.c.lean.key(off, 0.06);
    s.c.lean.key(grab + 0.2, -0.05);
    s.c.twist.key(t, 0);
    s.arm(kLeft, t + 0.22, {0.10, 0.24, -0.34});
    s.arm(kRight, t + 0.22, {0.24, 0.20, -0.30});
    s.arm(kLeft, off - 0.02, {0.26, 0.16, 0.25});
    s.arm(kRight, off - 0.02, {0.26, 0.16, 0.25});
    const double under = l.rung_z - (l.rung_radius + 0.032) + 0.004;
    s.hold(kLeft, grab + 0.015, Anchor::world, {l.rung_x[0], 0.17, under});
    s.hold(kRight, grab, Anchor::world, {l.rung_x[0], -0.17, under});
    for (const Side side : {kLeft, kRight})
        s.carry_foot(side, grab + 0.30, {0.26, 0.07, -0.62}, -0.5, Ease::soft);
    return grab + 0.02;
}

}  // namespace

// The near thing: was there a moment with both feet on the gantry deck? A padded column hides the left foot's
// touch from the long side; a second camera at the far end of the course sees it.
Run step_behind_the_column() {
    Run run;
    run.key = "run-4";
    run.title = "A running step on the gantry deck that one camera cannot settle";
    run.outfit = {{0.36, 0.18, 0.11}, {0.08, 0.16, 0.50}, {0.60, 0.60, 0.60}, {0.10, 0.10, 0.11},
                  {0.50, 0.20, 0.02}, {0.62, 0.30, 0.02}, {0.60, 0.38, 0.02}};
    run.beep = 1.00;
    Script s;
    stand_at_start(s);
    double t = hop_bollards(s, run.beep + 0.18, DeckLanding{});
    t = settle_on_coil(s, t);
    t = swing_over(s, t);
    t = run_through_gantry(s, t);
    t = cross_rungs(s, t);
    t = strike_bell(s, t);
    run.end = t;
    s.c.finish();
    run.moves = s.c;

    View a = long_side_view("run-4-a");
    a.clock = {{1, 60000}, 0, 1001, 0, 0, 0};  // 60000/1001 frames/s
    a.offset = {-250'000'000};
    a.from = {250'000'000};
    a.to = {static_cast<std::int64_t>(run.end * 1e9)};
    View b;
    b.clip = "run-4-b";
    b.camera = {{11.8, -3.9, 2.5}, {7.05, 0, 1.40}, 1180, 1280, 720};
    b.clock = {{1, 12800}, 0, 256, 0, 0, 0};  // 50 frames/s
    b.offset = {1'237'300'000};               // this camera was running first
    b.from = {-1'237'300'000};
    b.to = {static_cast<std::int64_t>(run.end * 1e9) - 150'000'000};
    b.shutter = {6'000'000};
    b.exposure = 0.95;
    run.views = {a, b};

    // The gantry deck needs both feet at once. The right foot comes down in front of the column, in sight of
    // both cameras; the left foot comes down behind the padded column, hidden from camera A, some three
    // hundredths of a second before the right foot leaves. Camera A alone shows the left foot in the air
    // before the column and gone after it: the touch may lie before or after the right foot's leaving, so the
    // next station's rung is then either that station's own item or out of play. Camera B sees both feet on
    // the deck in at least one frame.
    run.rulings = {
        {"bollard_hop", Verdict::clear, {}, "a foot comes down on the coil deck after the bollards"},
        {"hawser_swing",
         Verdict::clear,
         {{"run-4-a", Verdict::not_shown}},
         "the left foot is on the gantry deck before the right foot leaves it"},
        {"gantry_rungs", Verdict::clear, {}, "hands only on all four rungs, then feet on the quay deck"}};
    return run;
}

}  // namespace plumbmark::scene
