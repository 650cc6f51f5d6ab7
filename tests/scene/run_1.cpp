#include "moves.h"
#include "runs.h"

namespace plumbmark::scene {

// A clean run, seen from the long side: three stations over two shared landings, then the bell plate.
Run full_clear() {
    Run run;
    run.key = "run-1";
    run.title = "Full clear of three stations and the bell plate";
    run.outfit = {{0.42, 0.22, 0.13}, {0.62, 0.42, 0.03}, {0.50, 0.33, 0.02}, {0.02, 0.03, 0.07},
                  {0.55, 0.55, 0.55}, {0.55, 0.07, 0.03}, {0.03, 0.16, 0.42}};
    run.beep = 1.10;
    Script s;
    stand_at_start(s);
    double t = hop_bollards(s, run.beep + 0.22, DeckLanding{});
    t = settle_on_coil(s, t);
    t = swing_over(s, t);
    t = settle_on_gantry(s, t);
    t = leap_to_rungs(s, t);
    t = cross_rungs(s, t);
    t = strike_bell(s, t);
    run.end = t;
    s.c.finish();
    run.moves = s.c;

    View a = long_side_view("run-1-a");
    a.clock = {{1, 15360}, 0, 256, 0, 0, 0};  // 60 frames/s
    a.offset = {-400'000'000};
    a.from = {400'000'000};
    a.to = {static_cast<std::int64_t>(run.end * 1e9)};
    run.views = {a};

    // Right, left and right foot on the bollards, then the left foot on the coil deck: any foot completes.
    // Both feet stand on the gantry deck after the whole athlete has passed its front plane. Hands alone are
    // on the rungs, and a foot comes down on the quay deck. Nothing else is touched on the way.
    run.rulings = {
        {"bollard_hop", Verdict::clear, {}, "a foot comes down on the coil deck after the bollards"},
        {"hawser_swing", Verdict::clear, {}, "both feet stand on the gantry deck past its front plane"},
        {"gantry_rungs", Verdict::clear, {}, "hands only on all four rungs, then feet on the quay deck"}};
    return run;
}

}  // namespace plumbmark::scene
