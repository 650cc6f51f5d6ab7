#include "meet/who_ran.h"

namespace plumbmark::meet {

const Athlete* athlete_of(const State& state, const Run& run) {
    const auto entry = state.entries().find(run.entry);
    const auto athlete =
        state.athletes().find(entry == state.entries().end() ? run.athlete : entry->second.athlete);
    return athlete == state.athletes().end() ? nullptr : &athlete->second;
}

const Division* division_with_key(const State& state, const std::string& key) {
    for (const auto& [id, division] : state.divisions()) {
        if (division.key == key) return &division;
    }
    return nullptr;
}

}  // namespace plumbmark::meet
