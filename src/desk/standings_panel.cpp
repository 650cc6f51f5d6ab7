// How standings are drawn: the tables at the left, the chosen one at the right.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "desk/internal/form_panel.h"
#include "desk/internal/say.h"
#include "desk/internal/standings_page.h"

namespace plumbmark::desk {
namespace {

constexpr float kLine = 30, kTable = 48;

/// Sentences with a heading, not more than 'most' of them; returns the height used.
float draw_sentences(const Look& look, const Box& box, const std::string& heading,
                     const std::vector<std::string>& sentences, std::size_t most) {
    if (sentences.empty()) return 0;
    Box rest = box;
    const auto put = [&](ImFont* font, Colour colour, const std::string& words, float after) {
        rest.y += draw_words(look, font, rest, colour, words) + look.unit(after);
    };
    put(look.fonts.strong, look.colours->ink, heading, 2);
    const std::size_t shown = sentences.size() > most ? most - 1 : sentences.size();
    for (std::size_t i = 0; i < shown; ++i)
        put(look.fonts.body, look.colours->ink, sentences[i], 2);
    if (shown < sentences.size())
        put(look.fonts.body, look.colours->soft, tr("and {} more", sentences.size() - shown), 2);
    return rest.y - box.y + look.unit(8);
}

}  // namespace

void StandingsPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("standings", box, c.ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    if (!outlook_) {
        const std::string words = tr("The standings are being worked out.");
        look.words->draw(
            list, look.fonts.title,
            {box.x + (box.w - look.words->width(look.fonts.title, words)) / 2, box.y + box.h * 0.4F}, c.ink,
            words);
        return ImGui::End();
    }
    const float left = std::clamp(box.w * 0.24F, look.unit(220), look.unit(340));
    fill_box(list, {box.x, box.y, left, box.h}, c.bar);
    draw_tables(scene, {box.x, box.y, left, box.h});
    const Box right{box.x + left, box.y, box.w - left, box.h};
    if (table_ == 0)
        draw_summary(scene, right);
    else
        draw_table(scene, right);
    scroll_to_line_ = false;
    ImGui::End();
}

void StandingsPage::draw_tables(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImGui::SetCursorScreenPos(top_left(box));
    begin_child("tables", {box.w, box.h}, ImGuiWindowFlags_NoNav);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const float row = look.unit(kTable);
    for (std::size_t i = 0; i <= tables_.size(); ++i) {
        const Box b{start.x, start.y + row * static_cast<float>(i), box.w, row};
        if (hit(fmt::format("table {}", i).c_str(), b)) scene.commands.add(OfMeet{TakeLine{i, 0}});
        if (i == table_) {
            fill_box(list, b, c.segment);
            list->AddRectFilled(top_left(b), {b.x + look.unit(4), b.bottom()}, ink(c.chosen));
            if (scroll_to_line_ && (b.y < box.y || b.bottom() > box.bottom())) {
                ImGui::SetCursorScreenPos(top_left(b));
                ImGui::Dummy({1, row});
                ImGui::SetScrollHereY(0.5F);
            }
        }
        const std::string name = i == 0 ? tr("all tables") : tables_[i - 1].name;
        const std::string state =
            i == 0 ? tr_n("{} table", "{} tables", std::ssize(tables_)) : tables_[i - 1].short_state;
        const float x = b.x + look.unit(16), room = b.w - look.unit(28);
        look.words->draw(list, look.fonts.strong, {x, b.y + look.unit(5)}, c.ink,
                         look.words->fitted(look.fonts.strong, name, room));
        look.words->draw(list, look.fonts.small, {x, b.y + look.unit(26)}, c.soft,
                         look.words->fitted(look.fonts.small, state, room));
    }
    ImGui::SetCursorScreenPos(start);
    ImGui::Dummy({1, row * static_cast<float>(tables_.size() + 1)});
    ImGui::EndChild();
}

/// What is being sealed, what came of it, and what is not sealed yet; 'rest' is left below it.
void StandingsPage::draw_sealing(const Scene& scene, Box& rest) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const auto put = [&](ImFont* font, Colour colour, const std::string& words, float indent = 0) {
        const Box line{rest.x + indent, rest.y, rest.w - indent, rest.h};
        rest.y += draw_words(look, font, line, colour, words) + look.unit(2);
    };
    const float before = rest.y;
    if (sealing_.busy()) {
        put(look.fonts.body, c.ink, sealing_.progress_words());
        const float wide = std::min(rest.w, look.unit(320)), high = look.unit(6);
        const ImVec2 at{rest.x, rest.y + look.unit(4)};
        list->AddRectFilled(at, {at.x + wide, at.y + high}, ink(c.row), look.unit(3));
        list->AddRectFilled(at, {at.x + wide * sealing_.progress(), at.y + high}, ink(c.chosen),
                            look.unit(3));
        rest.y += high + look.unit(8);
    } else if (!unsealed_.empty()) {
        const float side = look.unit(8), top = rest.y + (Words::line_height(look.fonts.strong) - side) / 2;
        list->AddRectFilled({rest.x, top}, {rest.x + side, top + side}, ink(kOrange));
        put(look.fonts.strong, c.ink,
            tr("Not sealed yet: {}. {} seals.",
               unsealed_.size() == 1
                   ? tr("the official results of publication {}", unsealed_.front().value)
                   : tr_n("{} official publication", "{} official publications", std::ssize(unsealed_)),
               scene.keys.label(Action::seal)),
            look.unit(16));
    } else if (sealing_.outcome().empty() && !last_seal_.empty()) {
        put(look.fonts.body, c.soft, last_seal_);
    }
    if (!sealing_.busy())
        for (const std::string& words : sealing_.outcome())
            put(look.fonts.body, c.ink, words);
    if (rest.y > before) rest.y += look.unit(8);
}

/// What stands above a table's lines; returns the height used.
float StandingsPage::draw_state(const Scene& scene, const Box& box, const TableRows& table) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    Box rest = box;
    rest.y += draw_words(look, look.fonts.title, rest, c.ink, table.name) + look.unit(2);
    rest.y += draw_words(look, look.fonts.body, rest, c.soft,
                         outdated() ? tr("Now {}; being worked out anew.", table.state)
                                    : tr("Now {}.", table.state)) +
              look.unit(8);
    draw_sealing(scene, rest);
    rest.y += draw_sentences(look, rest, tr("It waits for"), table.awaits, 4);
    rest.y += draw_sentences(look, rest, tr("What moved since it was given out"), table.moved, 4);
    return rest.y - box.y;
}

void StandingsPage::draw_table(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    const TableRows& table = tables_[table_ - 1];
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float side = look.unit(24);
    const float used =
        draw_state(scene, {box.x + side, box.y + look.unit(14), box.w - 2 * side, box.h}, table) +
        look.unit(18);
    const float top = box.y + used, row = look.unit(kLine);
    const float place = box.x + side, number = place + look.unit(52), name = number + look.unit(72);
    const float right = box.right() - side;
    const float rest = std::max(look.unit(200), right - name - look.unit(80 + 150));
    const float club = name + rest * 0.4F, counted = club + rest * 0.24F, time = counted + look.unit(80),
                remark = time + look.unit(150);
    const auto cells = [&](ImDrawList* in, float y, ImFont* font, Colour colour,
                           const std::array<std::string, 7>& words) {
        const std::array<float, 8> edges{place, number, name, club, counted, time, remark, right};
        for (std::size_t i = 0; i < words.size(); ++i)
            look.words->draw(in, font, {edges[i], y + (row - Words::line_height(font)) / 2}, colour,
                             look.words->fitted(font, words[i], edges[i + 1] - edges[i] - look.unit(8)));
    };
    cells(list, top, look.fonts.small, c.soft,
          {tr("place"), tr("number"), tr("name"), tr("club"), table.counted_word, tr("time"), ""});
    ImGui::SetCursorScreenPos({box.x, top + row});
    begin_child("lines", {box.w, std::max(1.0F, box.bottom() - top - row)}, ImGuiWindowFlags_NoNav);
    ImDrawList* in = ImGui::GetWindowDrawList();
    const float height = ImGui::GetWindowHeight();
    if (scroll_to_line_) keep_in_sight(row * static_cast<float>(line_), row);
    scroll_to_line_ = false;
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const auto first = static_cast<std::size_t>(std::max(0.0F, std::floor(ImGui::GetScrollY() / row)));
    const std::size_t last = std::min(table.rows.size(), first + static_cast<std::size_t>(height / row) + 2);
    for (std::size_t i = first; i < last; ++i) {
        const StandingsRow& one = table.rows[i];
        const Box b{start.x, start.y + row * static_cast<float>(i), box.w, row};
        if (hit(fmt::format("line {}", i).c_str(), b)) scene.commands.add(OfMeet{TakeLine{i, 1}});
        if (i == line_ || i % 2 == 0) fill_box(in, b, i == line_ ? c.segment : c.row);
        if (i == line_) in->AddRectFilled(top_left(b), {b.x + look.unit(4), b.bottom()}, ink(c.chosen));
        cells(in, b.y, look.fonts.body, one.place.empty() ? c.soft : c.ink,
              {one.place, one.number, one.name, one.club, one.counted, one.time, one.remark});
    }
    ImGui::SetCursorScreenPos(start);
    ImGui::Dummy({1, row * static_cast<float>(table.rows.size())});
    ImGui::EndChild();
}

void StandingsPage::draw_summary(const Scene& scene, const Box& box) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImGui::SetCursorScreenPos(top_left(box));
    begin_child("summary", {box.w, box.h}, ImGuiWindowFlags_NoNav);
    const ImVec2 start = ImGui::GetCursorScreenPos();
    Box rest{start.x + look.unit(24), start.y + look.unit(14),
             std::min(box.w - look.unit(48), look.unit(860)), box.h};
    rest.y += draw_words(look, look.fonts.title, rest, c.ink, tr("All tables")) + look.unit(10);
    draw_sealing(scene, rest);
    if (tables_.empty())
        rest.y += draw_words(look, look.fonts.body, rest, c.ink,
                             tr("No athlete of a division is entered, so there is nothing to rank."));
    for (const TableRows& table : tables_) {
        rest.y += draw_words(look, look.fonts.strong, rest, c.ink, table.name) + look.unit(2);
        rest.y += draw_words(look, look.fonts.body, rest, c.soft, tr("Now {}.", table.state)) + look.unit(2);
        const std::size_t shown = std::min<std::size_t>(3, table.awaits.size());
        std::vector<std::string> some(table.awaits.begin(),
                                      table.awaits.begin() + static_cast<std::ptrdiff_t>(shown));
        if (shown < table.awaits.size()) some.push_back(tr("{} more", table.awaits.size() - shown));
        const std::string waits = some.empty() ? std::string(tr("It waits for nothing."))
                                               : tr("It waits for: {}.", base::listed(some, tr("and")));
        rest.y += draw_words(look, look.fonts.body, rest, c.ink, waits) + look.unit(14);
    }
    ImGui::SetCursorScreenPos(start);
    ImGui::Dummy({1, rest.y - start.y});
    ImGui::EndChild();
}

}  // namespace plumbmark::desk
