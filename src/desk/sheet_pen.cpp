#include "desk/internal/sheet_pen.h"

#include <algorithm>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

SheetPen::SheetPen(const Scene& scene, const Box& box)
    : s_(scene),
      look_(scene.look),
      c_(*scene.look.colours),
      list_(ImGui::GetWindowDrawList()),
      ground_(c_.paper) {
    const ImVec2 start = ImGui::GetCursorScreenPos();
    left_ = box.x + look_.unit(18);
    right_ = box.right() - look_.unit(22);
    y_ = page_top_ = start.y;
    list_->ChannelsSplit(3);  // grounds of rungs, grounds of cards, words
    list_->ChannelsSetCurrent(2);
}

void SheetPen::finish() {
    list_->ChannelsMerge();
    ImGui::SetCursorScreenPos({left_, y_});
    ImGui::Dummy({1, 1});
}

void SheetPen::words(const std::string& text, ImFont* font, Colour colour) {
    if (text.empty()) return;
    y_ += look_.words->draw_wrapped(list_, font, {left_, y_}, right_ - left_, colour, text);
}

void SheetPen::line() {
    list_->AddLine({left_, y_}, {right_, y_}, ink(c_.paper_line), std::max(1.0F, look_.unit(1)));
    gap(8);
}

void SheetPen::begin_rung(bool focus, ruling::Verdict verdict) {
    focus_ = focus;
    verdict_ = verdict;
    ground_ = focus ? c_.paper_focus : c_.paper;
    rung_top_ = y_;
    gap(6);
    left_ += look_.unit(14);
}

void SheetPen::end_rung() {
    left_ -= look_.unit(14);
    gap(6);
    list_->ChannelsSetCurrent(0);
    if (focus_) list_->AddRectFilled({left_, rung_top_}, {right_ + look_.unit(10), y_}, ink(c_.paper_focus));
    const float wide = look_.unit(focus_ ? 4 : 2);
    const Colour edge = focus_ ? verdict_colour(verdict_) : c_.paper_line;
    list_->AddRectFilled({left_, rung_top_}, {left_ + wide, y_}, ink(edge));
    if (focus_ && needs_outline(edge, c_.paper))
        list_->AddRect({left_, rung_top_}, {left_ + wide, y_}, ink(c_.paper_ink));
    list_->ChannelsSetCurrent(2);
    ground_ = c_.paper;
}

void SheetPen::rung_title(const ruling::StationRuling* ruling, const std::string& name, bool if_reached) {
    const float height = Words::line_height(look_.fonts.strong), r = look_.unit(6);
    float room = right_ - left_ - look_.unit(20);
    if (ruling) {
        std::string verdict = tr(ruling::verdict_words(ruling->verdict));
        if (if_reached) verdict = tr("{} if reached", verdict);
        const float w = look_.words->width(look_.fonts.strong, verdict);
        look_.words->draw(list_, look_.fonts.strong, {right_ - w, y_}, c_.paper_ink, verdict);
        room -= w + look_.unit(12);
        draw_verdict(list_, look_, {left_ + r, y_ + height / 2}, r, ruling->verdict, ground_);
    }
    look_.words->draw(list_, look_.fonts.strong, {left_ + look_.unit(20), y_}, c_.paper_ink,
                      look_.words->fitted(look_.fonts.strong, name, room));
    y_ += height;
}

void SheetPen::begin_card(Colour ground, Colour edge) {
    gap(6);
    card_top_ = y_;
    card_ground_ = ground;
    card_edge_ = edge;
    left_ += look_.unit(10);
    right_ -= look_.unit(10);
    gap(8);
}

void SheetPen::end_card() {
    gap(8);
    left_ -= look_.unit(10);
    right_ += look_.unit(10);
    list_->ChannelsSetCurrent(1);
    list_->AddRectFilled({left_, card_top_}, {right_, y_}, ink(card_ground_), look_.unit(4));
    list_->AddRect({left_, card_top_}, {right_, y_}, ink(card_edge_), look_.unit(4), 0,
                   std::max(1.0F, look_.unit(1.25F)));
    list_->ChannelsSetCurrent(2);
    gap(6);
}

void SheetPen::mark_clause(ImVec2 c, ruling::ClauseState state) {
    const float r = look_.unit(4.5F), line = std::max(1.0F, look_.unit(1.75F));
    const ImU32 colour = ink(c_.paper_ink);
    switch (state) {
        case ruling::ClauseState::kept:
            list_->AddLine({c.x - r, c.y}, {c.x - r * 0.3F, c.y + r * 0.8F}, colour, line);
            list_->AddLine({c.x - r * 0.3F, c.y + r * 0.8F}, {c.x + r, c.y - r * 0.8F}, colour, line);
            return;
        case ruling::ClauseState::broken:
            list_->AddLine({c.x - r * 0.8F, c.y - r * 0.8F}, {c.x + r * 0.8F, c.y + r * 0.8F}, colour, line);
            list_->AddLine({c.x - r * 0.8F, c.y + r * 0.8F}, {c.x + r * 0.8F, c.y - r * 0.8F}, colour, line);
            return;
        case ruling::ClauseState::not_shown:
            list_->AddQuad({c.x, c.y - r}, {c.x + r, c.y}, {c.x, c.y + r}, {c.x - r, c.y}, colour, line);
            return;
        case ruling::ClauseState::not_tested:
            list_->AddLine({c.x - r, c.y}, {c.x + r, c.y}, colour, line);
            return;
    }
}

void SheetPen::clause(const ruling::ClauseFinding& finding) {
    const float indent = look_.unit(18);
    mark_clause({left_ + look_.unit(6), y_ + Words::line_height(look_.fonts.body) / 2}, finding.state);
    left_ += indent;
    words(finding.sentence.empty() ? tr(ruling::clause_words(finding.clause)) : finding.sentence.spoken(),
          look_.fonts.body, c_.paper_ink);
    left_ -= indent;
}

void SheetPen::key_line(const std::string& id, const std::string& key, const std::string& text,
                        Command command) {
    gap(4);
    const float top = y_, width = key_width(look_, key) + look_.unit(8), least = look_.unit(24);
    left_ += width;
    words(text, look_.fonts.body, c_.paper_ink);
    left_ -= width;
    y_ = std::max(y_, top + least);
    const Box box{left_, top, right_ - left_, y_ - top};
    const bool clicked = hit(id.c_str(), box);
    if (ImGui::IsItemHovered()) {
        list_->ChannelsSetCurrent(1);
        list_->AddRect(top_left(box), bottom_right(box), ink(c_.paper_soft), look_.unit(3));
        list_->ChannelsSetCurrent(2);
    }
    draw_key(list_, look_, {left_, top}, key, c_.paper_key, c_.paper_ink, c_.paper_soft);
    if (clicked) s_.commands.add(std::move(command));
}

float SheetPen::story(const Story& story, float x, float width, bool draw) {
    const float pad = look_.unit(8), r = look_.unit(4.5F), line = Words::line_height(look_.fonts.strong);
    if (draw) {
        draw_verdict(list_, look_, {x + pad + r, y_ + pad + line / 2}, r, story.verdict, c_.paper_card);
        look_.words->draw(list_, look_.fonts.strong, {x + pad + look_.unit(16), y_ + pad}, c_.paper_ink,
                          story.head);
    }
    const float used =
        look_.words->draw_wrapped(draw ? list_ : nullptr, look_.fonts.body, {x + pad, y_ + pad + line},
                                  width - 2 * pad, c_.paper_ink, story.text);
    return 2 * pad + line + used;
}

void SheetPen::stories(const std::vector<Story>& all) {
    if (all.empty()) return;
    gap(6);
    const float space = look_.unit(8), room = right_ - left_;
    const bool beside = all.size() == 2 && room >= look_.unit(320);
    const float width = beside ? (room - space) / 2 : room;
    float highest = 0;
    if (beside)
        for (const Story& each : all)
            highest = std::max(highest, story(each, left_, width, false));
    float x = left_;
    for (const Story& each : all) {
        const float height = beside ? highest : story(each, x, width, false);
        list_->ChannelsSetCurrent(1);
        list_->AddRectFilled({x, y_}, {x + width, y_ + height}, ink(c_.paper_card), look_.unit(4));
        list_->AddRect({x, y_}, {x + width, y_ + height}, ink(c_.paper_line), look_.unit(4));
        list_->ChannelsSetCurrent(2);
        story(each, x, width, true);
        if (beside)
            x += width + space;
        else
            y_ += height + space;
    }
    if (beside) y_ += highest + space;
    y_ -= space;
    gap(2);
}

bool SheetPen::pressed(const std::string& id, float top) {
    return hit(id.c_str(), {left_, top, right_ - left_, std::max(look_.unit(28), y_ - top)});
}

void SheetPen::show_rung() {
    const float origin = page_top_, height = ImGui::GetWindowHeight(), air = look_.unit(8);
    const float top = rung_top_ - origin - air, bottom = y_ - origin + air;
    float scroll = ImGui::GetScrollY();
    if (bottom > scroll + height) scroll = bottom - height;
    if (top < scroll) scroll = top;
    ImGui::SetScrollY(std::max(0.0F, scroll));
}

}  // namespace plumbmark::desk
