#include "desk/layout.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::desk {

Layout lay_out(float width, float height, float scale, bool strip_folded, bool sound) {
    Layout layout;
    layout.scale = scale;
    const auto unit = [&](float units) { return std::round(units * scale); };
    const float top = unit(40), help = unit(32);
    layout.rows = strip_folded ? StripRows::folded : height < unit(960) ? StripRows::joined : StripRows::all;
    const float wished =
        unit(kRuler + static_cast<float>(row_count(layout.rows, sound)) * kRow + kPlayheadLabel);
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

namespace {

/// The largest picture of this aspect in a box, as an area.
float shown_area(const Box& box, float aspect) {
    const float w = std::min(box.w, box.h * aspect);
    return w * w / aspect;
}

/// All beside each other, the one that is worked on taking what is left over.
std::vector<Box> in_a_row(const Box& panel, const std::vector<float>& aspects, float gap) {
    float sum = 0;
    for (const float aspect : aspects)
        sum += aspect;
    const float room = std::max(1.0F, panel.w - gap * static_cast<float>(aspects.size() - 1));
    const float spare = std::max(0.0F, room - sum * panel.h);
    const float shrink = std::min(1.0F, room / (sum * panel.h));
    std::vector<Box> boxes;
    float x = panel.x;
    for (std::size_t i = 0; i < aspects.size(); ++i) {
        const float w = aspects[i] * panel.h * shrink + (i == 0 ? spare : 0);
        boxes.push_back({x, panel.y, w, panel.h});
        x += w + gap;
    }
    return boxes;
}

/// The others below each other in a column at the right.
std::vector<Box> with_a_column(const Box& panel, std::size_t count, float gap) {
    const float others = static_cast<float>(count - 1);
    const float column = panel.w * (count == 2 ? 0.3F : 0.25F);
    const float height = (panel.h - gap * (others - 1)) / others;
    std::vector<Box> boxes{{panel.x, panel.y, panel.w - column - gap, panel.h}};
    for (std::size_t i = 1; i < count; ++i)
        boxes.push_back(
            {panel.right() - column, panel.y + (height + gap) * static_cast<float>(i - 1), column, height});
    return boxes;
}

}  // namespace

std::vector<Box> lay_angles(const Box& panel, const std::vector<float>& aspects, float gap) {
    if (aspects.size() < 2) return std::vector<Box>(aspects.size(), panel);
    // Whichever shows more; the picture that is worked on counts double.
    const auto worth = [&](const std::vector<Box>& boxes) {
        float sum = shown_area(boxes[0], aspects[0]);
        for (std::size_t i = 0; i < boxes.size(); ++i)
            sum += shown_area(boxes[i], aspects[i]);
        return sum;
    };
    std::vector<Box> row = in_a_row(panel, aspects, gap), column = with_a_column(panel, aspects.size(), gap);
    return worth(row) > worth(column) ? row : column;
}

}  // namespace plumbmark::desk
