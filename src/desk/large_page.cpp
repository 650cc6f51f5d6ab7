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

}  // namespace plumbmark::desk
