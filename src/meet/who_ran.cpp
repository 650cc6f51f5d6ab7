#include "meet/who_ran.h"

namespace plumbmark::meet {

const Athlete* athlete_of(const State& state, const Run& run) {
    const auto entry = state.entries().find(run.entry);
    const auto athlete =
        state.athletes().find(entry == state.entries().end() ? run.athlete : entry->second.athlete);
    return athlete == state.athletes().end() ? nullptr : &athlete->second;
}

}  // namespace plumbmark::meet
