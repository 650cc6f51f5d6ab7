// A page of text over the desk: the course book's findings, and what another one would change.
#include <algorithm>

#include "desk/internal/panels.h"

namespace plumbmark::desk {
namespace {

Colour ink_of(PageInk kind, const Palette& c) {
    return kind == PageInk::soft ? c.soft : c.ink;
}

/// Draws the lines from 'at' on, or only measures them; returns the height used.
float draw_lines(ImDrawList* list, const Look& look, ImVec2 at, float width,
                 const std::vector<PageLine>& lines) {
    const Palette& c = *look.colours;
    float y = at.y;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const PageLine& line = lines[i];
        ImFont* font = line.ink == PageInk::heading ? look.fonts.strong : look.fonts.body;
        const float in = look.unit(20) * static_cast<float>(line.depth);
        if (line.text.empty()) {
            y += look.unit(10);
            continue;
        }
        const float height =
            look.words->draw_wrapped(list, font, {at.x + in, y}, width - in, ink_of(line.ink, c), line.text);
        if (list && line.ink == PageInk::trouble)
            list->AddRectFilled({at.x + in - look.unit(10), y + look.unit(2)},
                                {at.x + in - look.unit(6), y + height - look.unit(2)}, ink(c.trouble));
        // What belongs together stands closer: a finding and its repair, both reasons of a station.
        const bool ends =
            line.ink == PageInk::soft && (i + 1 == lines.size() || lines[i + 1].ink != PageInk::soft);
        y += height + look.unit(ends ? 10 : 2);
    }
    return y - at.y;
}

}  // namespace

void draw_page(const Look& look, const Box& box, const std::string& title, const std::string& hint,
               const std::vector<PageLine>& lines, PageView& view) {
    const Palette& c = *look.colours;
    begin_float("page shade", box, rgb(0x000000, 110));
    ImGui::End();
    const float head = look.unit(52), side = look.unit(24);
    const float w = std::min(look.unit(900), box.w * 0.94F), text_width = w - 2 * side - look.unit(12);
    const float wanted = head + draw_lines(nullptr, look, {0, 0}, text_width, lines) + look.unit(28);
    const float h = std::clamp(wanted, look.unit(120), box.h * 0.9F);
    const Box page{box.x + (box.w - w) / 2, box.y + (box.h - h) / 2, w, h};
    begin_float("page", page, c.float_ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->AddRect(top_left(page), bottom_right(page), ink(c.float_line), look.unit(4), 0,
                  std::max(1.0F, look.unit(1.5F)));
    look.words->draw(list, look.fonts.title, {page.x + side, page.y + look.unit(14)}, c.ink, title);
    const float after = page.x + side + look.words->width(look.fonts.title, title) + look.unit(20);
    look.words->draw(list, look.fonts.small, {after, page.y + look.unit(20)}, c.soft,
                     look.words->fitted(look.fonts.small, hint, page.right() - side - after));
    // Room for the bars of what is an error, left of the words.
    const float bars = look.unit(10);
    ImGui::SetCursorScreenPos({page.x + side - bars, page.y + head});
    begin_child("page text", {page.w - side + bars, page.h - head - look.unit(10)}, ImGuiWindowFlags_NoNav);
    if (view.scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + view.scroll * look.unit(60));
    view.scroll = 0;
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const float used =
        draw_lines(ImGui::GetWindowDrawList(), look, {start.x + bars, start.y}, text_width, lines);
    ImGui::Dummy({1, used + look.unit(8)});
    ImGui::EndChild();
    if (ImGui::IsMouseClicked(0) && !page.holds(ImGui::GetMousePos().x, ImGui::GetMousePos().y))
        view.kind = PageKind::none;
    ImGui::End();
}

}  // namespace plumbmark::desk
