// How the clocks of two clips lie to each other, from what was marked on both.
#pragma once

#include <optional>

#include "base/time.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// Time on the other clip minus time on the one is more than low and less than high.
struct ClipTie {
    base::Duration low, high;
    int marks = 0;  ///< that make it
    [[nodiscard]] base::Duration middle() const { return {low.ns + (high.ns - low.ns) / 2}; }
    [[nodiscard]] base::Duration half() const { return {(high.ns - low.ns + 1) / 2}; }
};

/// From the certain marks of the run that are bracketed on both, on their clocks of capture; rows of a
/// picture and drift are left out. None where no mark ties them, or where the marks contradict each other. An
/// aid for showing other angles and for measuring; no ruling rests on it. Pure.
[[nodiscard]] std::optional<ClipTie> clip_tie(const meet::State& state, meet::RunId run, meet::ClipId clip,
                                              meet::ClipId other);

}  // namespace plumbmark::review
