#include "desk/layout.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::desk {

Layout lay_out(float width, float height, float scale, bool strip_folded) {
    Layout layout;
    layout.scale = scale;
    const auto unit = [&](float units) { return std::round(units * scale); };
    const float top = unit(40), help = unit(32);
    layout.rows = strip_folded ? StripRows::folded : height < unit(960) ? StripRows::joined : StripRows::all;
    const float wished = unit(kRuler + static_cast<float>(row_count(layout.rows)) * kRow + kPlayheadLabel);
    const float strip = std::min(wished, std::max(0.0F, height - top - help) * 0.6F);
    const float middle = std::max(0.0F, height - top - help - strip);
    const float sheet = std::min(width * 0.45F, std::clamp(width * 0.275F, unit(352), unit(544)));
    layout.top = {0, 0, width, top};
    layout.pictures = {0, top, width - sheet, middle};
    layout.sheet = {width - sheet, top, sheet, middle};
    layout.strip = {0, top + middle, width, strip};
    layout.help = {0, height - help, width, help};
    return layout;
}

}  // namespace plumbmark::desk
