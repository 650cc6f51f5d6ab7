// One step of the search, over every choice that the automaton has in it.
#pragma once

#include "ruling/internal/foresight.h"
#include "ruling/internal/search.h"

namespace plumbmark::ruling {

template <class Act>
void Search::branch(const State& from, const Onward& onward, const Step& step, Act&& act) {
    const Foresight ahead(prepared_.foresight, from.done, from.passed);
    const Watch watch{&covered_.pairs, &ahead, &named_};
    for_every_choice([&](Choices& choices) {
        ++steps_;
        Judge judge(roles_, from.world, choices, step.kind == Step::Kind::mark ? step.mark : std::int16_t{-1},
                    watch);
        act(judge);
        if (choices.refused()) return;
        State next(onward.zone);
        next.world = judge.after();
        next.done = onward.done;
        next.passed = onward.passed;
        next.next_strictly = onward.next_strictly;
        next.awaits_call = from.awaits_call;
        if (!as_called(next, step, judge.decided())) return;
        move_clocks(next.zone, from.world, next.world, judge.clocks());
        simplify(next, step.kind == Step::Kind::moment ? coverage_at(prepared_, next.passed) : covered_);
        // An unseen event that changes nothing can be left out of any world.
        if (step.kind == Step::Kind::unseen && judge.decided().empty() && next.world == from.world) return;
        add(std::move(next), step, judge.decided());
    });
}

}  // namespace plumbmark::ruling
