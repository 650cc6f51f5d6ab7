// How the stations before the one under appeal were called on the floor.
#pragma once

#include <vector>

#include "ruling/evidence.h"

namespace plumbmark::ruling {

struct Calls {
    std::vector<bool> clear;  ///< by station, from the first
    /// The seen event taken to have completed the last of them; none: any way it can have been cleared.
    MarkId completed_by;
    /// What that takes: spans that vouch for there having been no unseen completion before.
    std::vector<WatchedSpan> assumed;
};

/// The same for the search.
struct AsCalled {
    std::vector<bool> clear;
    int completed_by = -1;  ///< index of a mark
};

}  // namespace plumbmark::ruling
