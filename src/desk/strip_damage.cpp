#include "desk/internal/strip_damage.h"

#include <algorithm>

namespace plumbmark::desk {

std::vector<DamageHit> draw_damage(const Look& look, const Box& track,
                                   const std::vector<DamagedStretch>& stretches,
                                   const std::function<float(std::int64_t)>& x_of, ImDrawList* list) {
    const Palette& c = *look.colours;
    const float bar = look.unit(6), least = look.unit(4), hair = std::max(1.0F, look.unit(1));
    const float top = track.y - bar;
    std::vector<DamageHit> hits;
    float drawn_to = track.x - 1;
    for (const DamagedStretch& stretch : stretches) {
        const float begins = x_of(stretch.from), lean = x_of(stretch.lean_until);
        if (std::max(x_of(stretch.until), lean) < track.x || begins > track.right() + 1) continue;
        // What is missing at the clip's end lies at the very edge, and is to be seen all the same.
        const float x0 = std::min(begins, track.right() - least);
        const float x1 = std::max(x_of(stretch.until), x0 + least);
        if (lean > x1) list->AddRect({x1 - hair, top}, {lean, track.y}, ink(c.trouble), 0, 0, hair);
        // What ends within the bar before it would only be drawn over it.
        if (x1 > drawn_to) {
            list->AddRectFilled({x0, top}, {x1, track.y}, ink(c.trouble));
            if (needs_outline(c.trouble, c.strip))
                list->AddRect({x0, top}, {x1, track.y}, ink(c.outline, 160), 0, 0, hair);
            draw_hatching(list, look, {std::max(x0, drawn_to), track.y}, {x1, track.bottom()},
                          ink(c.trouble, 110));
            drawn_to = x1;
        }
        hits.push_back({{x0, top - bar, x1 - x0, track.bottom() - top + bar}, &stretch});
        if (lean > x1) hits.push_back({{x1, top - bar, lean - x1, 2 * bar}, &stretch});
    }
    return hits;
}

}  // namespace plumbmark::desk
