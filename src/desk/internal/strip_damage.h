// Damaged stretches of the clip's file on the run strip.
#pragma once

#include <functional>
#include <vector>

#include "desk/damage.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// Where a stretch stands on the screen, for the pointer.
struct DamageHit {
    Box box;
    const DamagedStretch* stretch;
};

/// Draws the stretches over the rows: a solid bar along the ruler's foot and hatching below it; where remains
/// may show, an outline only. 'track' is the rows' box, 'x_of' gives the place of a time (nanoseconds). The
/// hits point into 'stretches'.
[[nodiscard]] std::vector<DamageHit> draw_damage(const Look& look, const Box& track,
                                                 const std::vector<DamagedStretch>& stretches,
                                                 const std::function<float(std::int64_t)>& x_of,
                                                 ImDrawList* list);

}  // namespace plumbmark::desk
