// How a start list is looked through: its columns at the left, what would be entered at the right.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "desk/internal/form_panel.h"
#include "desk/internal/say.h"
#include "desk/internal/start_list_page.h"

namespace plumbmark::desk {

void StartListPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("start list", box, c.ground);
    Box rest{box.x + look.unit(24), box.y + look.unit(14), std::min(look.unit(460), box.w * 0.42F), box.h};
    if (!has_list()) {
        rest.w = box.w - look.unit(48);
        draw_words(look, look.fonts.title, rest, c.ink,
                   tr("Choose a list with {}.", scene.keys.label(Action::start_list)));
        return ImGui::End();
    }
    rest.y += draw_words(look, look.fonts.title, rest, c.ink, tr("Start list: {}", file_)) + look.unit(4);
    rest.y += draw_words(look, look.fonts.body, rest, c.soft, tr("What its columns are:")) + look.unit(8);
    ImGui::SetCursorScreenPos({rest.x, rest.y});
    begin_child("columns", {rest.w + look.unit(16), std::max(1.0F, box.bottom() - rest.y)},
                ImGuiWindowFlags_NoNav);
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const float used = draw_form(scene, {start.x, start.y, rest.w, rest.h}, form_);
    ImGui::SetCursorScreenPos(start);
    ImGui::Dummy({1, used});
    // The chosen column stays in sight.
    const float at = used * static_cast<float>(form_.cursor) / static_cast<float>(form_.fields.size());
    keep_in_sight(at, look.unit(48));
    ImGui::EndChild();
    const float left = rest.right() + look.unit(40);
    draw_preview(scene,
                 {left, box.y + look.unit(14), box.right() - left - look.unit(24), box.h - look.unit(14)});
    ImGui::End();
}

void StartListPage::draw_preview(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    Box rest = box;
    const std::string summary =
        !list_.problems.empty() ? tr("The columns do not fit yet.")
        : list_.wrong_rows > 0
            ? tr_n("{} line of {} cannot be entered, so nothing is.",
                   "{} lines of {} cannot be entered, so nothing is.",
                   static_cast<std::int64_t>(list_.wrong_rows), list_.rows.size())
            : tr_n("{} athlete can be entered.", "{} athletes can be entered.", std::ssize(list_.rows));
    rest.y += draw_words(look, look.fonts.title, rest, c.ink, summary) + look.unit(8);
    ImDrawList* outside = ImGui::GetWindowDrawList();
    for (const base::Sentence& problem : list_.problems) {
        const float top = rest.y;
        rest.y += draw_words(look, look.fonts.body, rest, c.ink, problem.spoken()) + look.unit(4);
        outside->AddRectFilled({rest.x - look.unit(10), top + look.unit(2)},
                               {rest.x - look.unit(6), rest.y - look.unit(6)}, ink(c.trouble));
    }
    if (scene.session.state().divisions().empty())
        rest.y += draw_words(look, look.fonts.body, rest, c.ink,
                             tr("The meet has no division yet. They come from a list of their own, with the "
                                "column 'key': choose it with {} first.",
                                scene.keys.label(Action::start_list))) +
                  look.unit(8);
    const float row = look.unit(30);
    ImGui::SetCursorScreenPos({rest.x - look.unit(12), rest.y});
    begin_child("preview", {rest.w + look.unit(12), std::max(1.0F, box.bottom() - rest.y)},
                ImGuiWindowFlags_NoNav);
    if (scroll_ != 0) ImGui::SetScrollY(ImGui::GetScrollY() + scroll_ * row);
    scroll_ = 0;
    ImDrawList* list = ImGui::GetWindowDrawList();
    ImVec2 at = ImGui::GetCursorScreenPos();
    at.x += look.unit(12);
    // Those with problems first: they are what is to be done.
    std::vector<const meet::StartRow*> rows;
    for (const meet::StartRow& one : list_.rows)
        rows.push_back(&one);
    std::stable_partition(rows.begin(), rows.end(), [](const auto* one) { return !one->problems.empty(); });
    const auto first = static_cast<std::size_t>(std::max(0.0F, std::floor(ImGui::GetScrollY() / row)));
    const std::size_t last =
        std::min(rows.size(), first + static_cast<std::size_t>(ImGui::GetWindowHeight() / row) + 2);
    for (std::size_t i = first; i < last; ++i) {
        const meet::StartRow& one = *rows[i];
        const float y = at.y + row * static_cast<float>(i);
        if (i % 2 == 0) list->AddRectFilled({at.x - look.unit(8), y}, {at.x + rest.w, y + row}, ink(c.row));
        const auto text = [&](float x, float to, ImFont* font, Colour colour, const std::string& words) {
            look.words->draw(list, font, {at.x + x, y + (row - Words::line_height(font)) / 2}, colour,
                             look.words->fitted(font, words, to - x - look.unit(8)));
        };
        const float line = 0, number = look.unit(72), name = number + look.unit(64);
        text(line, number, look.fonts.small, c.soft, tr("line {}", one.line));
        text(number, name, look.fonts.strong, c.ink, one.athlete.number);
        if (one.problems.empty()) {
            const float more = name + (rest.w - name) * 0.5F;
            text(name, more, look.fonts.body, c.ink, one.athlete.name);
            text(more, rest.w, look.fonts.body, c.soft,
                 one.athlete.division + (one.athlete.club.empty() ? "" : " · " + one.athlete.club));
        } else {
            list->AddRectFilled({at.x - look.unit(8), y + look.unit(4)},
                                {at.x - look.unit(4), y + row - look.unit(4)}, ink(c.trouble));
            std::string words;
            for (const base::Sentence& problem : one.problems)
                words += (words.empty() ? "" : " ") + problem.spoken();
            text(name, rest.w, look.fonts.body, c.ink, words);
        }
    }
    ImGui::SetCursorScreenPos({at.x, at.y});
    ImGui::Dummy({1, row * static_cast<float>(rows.size())});
    ImGui::EndChild();
}

}  // namespace plumbmark::desk
