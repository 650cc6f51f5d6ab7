#include "review/clip_ties.h"

#include <algorithm>

#include "review/evidence.h"

namespace plumbmark::review {
namespace {

const meet::Sighting* whole_sighting(const meet::Mark& mark, meet::ClipId clip) {
    for (const meet::Sighting& seen : mark.sightings)
        if (seen.clip == clip) return seen.early && seen.late ? &seen : nullptr;
    return nullptr;
}

}  // namespace

std::optional<ClipTie> clip_tie(const meet::State& state, meet::RunId run, meet::ClipId clip,
                                meet::ClipId other) {
    const auto here = state.clips().find(clip), there = state.clips().find(other);
    if (here == state.clips().end() || there == state.clips().end()) return std::nullopt;
    std::optional<ClipTie> tie;
    for (const meet::Mark& mark : state.marks_of(run)) {
        if (mark.possible) continue;
        const meet::Sighting *a = whole_sighting(mark, clip), *b = whole_sighting(mark, other);
        if (a == nullptr || b == nullptr) continue;
        const base::Duration low = frame_time(there->second, *b->early) - frame_time(here->second, *a->late);
        const base::Duration high = frame_time(there->second, *b->late) - frame_time(here->second, *a->early);
        tie = tie ? ClipTie{std::max(tie->low, low), std::min(tie->high, high), tie->marks + 1}
                  : ClipTie{low, high, 1};
    }
    if (tie && tie->low >= tie->high) return std::nullopt;
    return tie;
}

}  // namespace plumbmark::review
