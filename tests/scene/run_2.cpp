#include "moves.h"
#include "runs.h"

namespace plumbmark::scene {
namespace {

// Too fast onto the coil deck: left foot, right foot near the edge, and the next step finds only the floor.
double stumble_off_coil(Script& s, double t) {
    const Layout& l = layout();
    Path& p = s.c.pelvis;
    s.carry_foot(kRight, t - 0.12, {-0.12, 0.09, -0.62}, -0.7);
    s.carry_foot(kRight, t + 0.10, {0.24, 0.09, -0.60}, 0.0, Ease::soft);
    s.plant(kRight, t + 0.20, 4.19, -0.10, l.coil_top, Ease::impact);
    s.leave(kLeft, t + 0.26);
    s.carry_foot(kLeft, t + 0.38, {-0.18, 0.09, -0.58}, -0.8);
    p.through(t + 0.10, {3.92, 0, l.coil_top + 0.70});
    const double off = t + 0.36;
    const double down = off + 0.36;
    p.fly(off, {4.38, -0.01, l.coil_top + 0.72}, down, {4.96, 0.02, 0.69});
    s.leave(kRight, off + 0.03);
    s.carry_foot(kRight, off + 0.15, {-0.34, 0.10, -0.44}, -1.0);
    s.carry_foot(kRight, off + 0.27, {-0.24, 0.10, -0.30}, -0.8, Ease::soft);
    s.carry_foot(kLeft, off + 0.22, {0.20, 0.10, -0.58}, -0.1, Ease::soft);
    s.plant(kLeft, down, 4.83, 0.11, 0, Ease::impact);
    s.carry_foot(kRight, down + 0.09, {0.12, 0.10, -0.42}, -0.2, Ease::soft);
    s.plant(kRight, down + 0.24, 5.32, -0.12, 0.06, Ease::impact);
    p.through(down + 0.16, {5.10, 0.01, 0.62});
    p.knot(down + 0.62, {5.10, 0, 0.06 + 0.68}, {});
    s.stay(kLeft, down + 0.66);
    s.plant(kLeft, down + 0.98, 5.28, 0.11, 0.06, Ease::soft, 0.08);
    p.knot(down + 1.05, {5.27, 0, 0.06 + 0.765}, {});
    s.c.lean.key(t, 0.25);
    s.c.lean.key(t + 0.25, 0.30);
    s.c.lean.key(off + 0.1, 0.05);
    s.c.lean.key(down + 0.2, 0.70);
    s.c.lean.key(down + 1.0, 0.10);
    s.arm(kLeft, t + 0.2, {0.10, 0.52, 0.10});
    s.arm(kRight, t + 0.2, {0.02, 0.52, 0.16});
    s.arm(kLeft, off + 0.15, {-0.10, 0.50, 0.22});
    s.arm(kRight, off + 0.15, {0.20, 0.50, 0.12});
    s.arms_out(down + 0.15);
    s.c.twist.key(t + 0.3, -0.25);
    s.c.twist.key(down, 0.15);
    s.c.twist.key(down + 0.6, 0);
    // Hands on the hips: it is over.
    s.arm(kLeft, down + 1.2, {0.06, 0.24, -0.34});
    s.arm(kRight, down + 1.2, {0.06, 0.24, -0.34});
    return down + 1.9;
}

}  // namespace

// The overrun: completing a station and failing the next with one stumble. Filmed by a phone held upright.
Run overrun_of_the_coil_deck() {
    Run run;
    run.key = "run-2";
    run.title = "Overrun of the shared coil deck";
    run.outfit = {{0.22, 0.11, 0.07}, {0.05, 0.30, 0.28}, {0.04, 0.24, 0.22}, {0.05, 0.05, 0.05},
                  {0.03, 0.03, 0.03}, {0.60, 0.60, 0.58}, {0.50, 0.06, 0.03}};
    run.beep = 0.95;
    Script s;
    stand_at_start(s);
    DeckLanding fast;
    fast.seconds = 0.30;
    fast.pelvis = {3.70, 0, 1.35};
    fast.left_ankle = 3.80;
    double t = hop_bollards(s, run.beep + 0.20, fast);
    t = stumble_off_coil(s, t);
    run.end = t;
    s.c.finish();
    run.moves = s.c;

    View a;
    a.clip = "run-2-a";
    a.camera = {{0.9, -5.6, 1.62}, {3.25, 0, 1.02}, 1010, 720, 1280};
    a.turned = true;
    a.clock = {{1, 90000}, 31500, 1500, 170, 23, 7};  // about 60 frames/s, uneven; the clip starts at 0.35 s
    a.offset = {350'000'000 - 300'000'000};
    a.from = {300'000'000};
    a.to = {static_cast<std::int64_t>(run.end * 1e9)};
    a.shutter = {8'000'000};
    a.noise = 1.6;
    a.exposure = 1.08;
    run.views = {a};

    // The left foot on the coil deck completes the bollard hop (any foot). The deck is the next station's
    // start and the hawser swing has begun with that completion (shared exit), so the foot on the floor, out
    // of play, fails it. The first fail ends the run.
    run.rulings = {
        {"bollard_hop", Verdict::clear, {}, "the left foot comes down on the coil deck after the bollards"},
        {"hawser_swing", Verdict::fail, {}, "a foot touches the floor before the hawser is reached"},
        {"gantry_rungs", Verdict::not_reached, {}, "the run ended at the hawser swing"}};
    return run;
}

}  // namespace plumbmark::scene
