#include "runs.h"

#include "contacts.h"

namespace plumbmark::scene {

std::vector<std::int64_t> View::ticks() const {
    std::vector<std::int64_t> out;
    std::int64_t number = 0;
    for (std::int64_t tick = clock.first;; tick = clock.first + clock.step * number) {
        const auto chance = mixed((std::uint64_t{clock.seed} << 32) + static_cast<std::uint64_t>(number));
        ++number;
        const bool dropped =
            clock.drop_every > 0 && number > 3 && chance % static_cast<unsigned>(clock.drop_every) == 0;
        if (dropped) continue;
        const std::int64_t spread = 2 * clock.jitter + 1;
        std::int64_t moved = tick;
        if (clock.jitter > 0 && number > 1)
            moved +=
                static_cast<std::int64_t>((chance >> 20) % static_cast<std::uint64_t>(spread)) - clock.jitter;
        if (run_time(moved) > to) return out;
        out.push_back(moved);
    }
}

base::Time View::run_time(std::int64_t tick) const {
    return base::floor_to_time(tick, clock.time_base) - offset;
}

const char* name_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return "CLEAR";
        case Verdict::fail:
            return "FAIL";
        case Verdict::not_shown:
            return "NOT SHOWN";
        case Verdict::not_reached:
            return "NOT REACHED";
    }
    return "";
}

View long_side_view(const std::string& clip) {
    View view;
    view.clip = clip;
    view.camera = {{5.25, -14.2, 2.05}, {5.25, 0, 1.83}, 1640, 1280, 720};
    view.shutter = {5'000'000};
    return view;
}

const std::vector<Run>& runs() {
    static const std::vector<Run> kRuns = [] {
        std::vector<Run> all{full_clear(), overrun_of_the_coil_deck(), foot_on_a_rung(),
                             step_behind_the_column()};
        for (Run& run : all)
            run.bells = bell_strokes(run.moves, 0, run.end);
        return all;
    }();
    return kRuns;
}

}  // namespace plumbmark::scene
