// What single change would settle a station whose ruling is NOT SHOWN; each one is tried by ruling again.
#pragma once

#include <vector>

#include "ruling/internal/deciding.h"

namespace plumbmark::ruling {

struct Settling {
    std::vector<SettleStep>
        steps;               ///< up to three: those that settle it whatever they show, then the cheapest
    bool tried_all = false;  ///< false when the work that is left did not allow every change to be tried
};

/// Looks again at possible events and alternatives, at brackets wider than one frame, at the order of two
/// marks whose brackets overlap, and at unwatched gaps between the station's beginning and its decision.
[[nodiscard]] Settling settle(const Inquiry& inquiry, std::size_t station);

}  // namespace plumbmark::ruling
