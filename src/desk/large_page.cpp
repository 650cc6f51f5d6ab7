#include "desk/internal/large_page.h"

#include <algorithm>

#include "desk/internal/paint.h"
#include "desk/internal/state.h"

namespace plumbmark::desk {
namespace {

constexpr float kHelpLine = 36;  ///< of the window, which stays in sight below the page

Box frame_of(const Look& look, const Box& window) {
    const float w = window.w * 0.97F, above = look.unit(14), below = look.unit(kHelpLine + 8);
    return {window.x + (window.w - w) / 2, window.y + above, w, window.h - above - below};
}

}  // namespace

LargePage::LargePage(const Look& look, const Box& window, const std::string& name)
    : look_(look), frame_(frame_of(look, window)) {
    const std::string shade = name + " shade";
    begin_float(shade.c_str(), {window.x, window.y, window.w, window.h - look.unit(kHelpLine)},
                rgb(0x000000, 110));
    ImGui::End();
    begin_float(name.c_str(), frame_, look.colours->float_ground);
    ImGui::GetWindowDrawList()->AddRect(top_left(frame_), bottom_right(frame_), ink(look.colours->float_line),
                                        look.unit(4), 0, std::max(1.0F, look.unit(1.5F)));
}

void LargePage::head(const std::string& title, const std::string& says) const {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Box all = room();
    const std::string drawn = look_.words->fitted(look_.fonts.title, title, all.w * 0.6F);
    look_.words->draw(list, look_.fonts.title, {all.x, frame_.y + look_.unit(12)}, look_.colours->ink, drawn);
    const float after = all.x + look_.words->width(look_.fonts.title, drawn) + look_.unit(20);
    look_.words->draw(list, look_.fonts.small, {after, frame_.y + look_.unit(18)}, look_.colours->soft,
                      look_.words->fitted(look_.fonts.small, says, all.right() - after));
}

Box LargePage::room() const {
    const float head = look_.unit(46), foot = look_.unit(12), side = look_.unit(20);
    return {frame_.x + side, frame_.y + head, frame_.w - 2 * side, frame_.h - head - foot};
}

void LargePage::end(PageView& page) const {
    const ImVec2 pointer = ImGui::GetMousePos();
    if (ImGui::IsMouseClicked(0) && !frame_.holds(pointer.x, pointer.y)) page.kind = PageKind::none;
    ImGui::End();
}

std::optional<std::size_t> draw_page_chips(const Look& look, const Box& row,
                                           const std::vector<PageChip>& chips) {
    std::optional<std::size_t> clicked;
    Box left = row;
    for (std::size_t i = 0; i < chips.size(); ++i) {
        const PageChip& one = chips[i];
        const Chip chip =
            draw_chip(ImGui::GetWindowDrawList(), look, left, one.id, one.words, one.key, false);
        if (chip.clicked) clicked = i;
        if (chip.box.w <= 0) continue;
        left.w -= chip.box.right() + look.unit(4) - left.x;
        left.x = chip.box.right() + look.unit(4);
    }
    return clicked;
}

void draw_page_progress(const Look& look, const Box& box, double share, const std::string& words) {
    ImDrawList* list = ImGui::GetWindowDrawList();
    const bool alone = !words.empty();
    float y = box.y;
    if (alone)
        y +=
            look.words->draw_wrapped(list, look.fonts.body, top_left(box), box.w, look.colours->soft, words) +
            look.unit(6);
    const float high = look.unit(alone ? 4 : 2), wide = alone ? std::min(box.w, look.unit(420)) : box.w;
    list->AddRectFilled({box.x, y}, {box.x + wide, y + high}, ink(look.colours->line));
    list->AddRectFilled({box.x, y}, {box.x + wide * static_cast<float>(share), y + high},
                        ink(look.colours->ink));
}

}  // namespace plumbmark::desk
