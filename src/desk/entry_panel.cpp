// How the floor's table is drawn: only the rows that are seen.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "desk/internal/entry_page.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr float kHead = 44, kTitles = 30, kTwoLineTitles = 44, kEntryRow = 30;
constexpr float kHeat = 48, kNumber = 64, kDivision = 68, kOfficialTime = 96;

/// A station's name over its column: in two lines where one has no room for it.
struct ColumnTitle {
    ColumnTitle(const Look& look, const std::string& name, float room) {
        if (look.words->width(look.fonts.small, name) <= room) {
            lines = {name};
            return;
        }
        const std::size_t longest = name.size();
        std::size_t cut = name.find(' '), next = cut;
        while (next < longest && look.words->width(look.fonts.small, name.substr(0, next)) <= room) {
            cut = next;
            next = name.find(' ', next + 1);
        }
        if (cut >= longest) {
            lines = {look.words->fitted(look.fonts.small, name, room)};
            return;
        }
        lines = {look.words->fitted(look.fonts.small, name.substr(0, cut), room),
                 look.words->fitted(look.fonts.small, name.substr(cut + 1), room)};
    }
    std::vector<std::string> lines;
};

ruling::Verdict shape_of(meet::Call call) {
    return call == meet::Call::clear ? ruling::Verdict::clear : ruling::Verdict::fail;
}

}  // namespace

/// Where the columns lie, from the width of the page.
struct EntryPage::Columns {
    float start, number, name, division, stations, station, time, remarks, right;

    Columns(const Look& look, const Box& box, std::size_t station_count) {
        const float wide = box.w - look.unit(32);
        const auto count = static_cast<float>(station_count);
        const float fixed = look.unit(kHeat + kNumber + kDivision + kOfficialTime);
        // A name of two words and the beginning of what is to be looked at; more of both in a wide window.
        const float least = std::max(look.unit(160 + 140), wide * 0.3F - look.unit(100));
        station = count > 0 ? std::clamp((wide - fixed - least) / count, look.unit(44), look.unit(124)) : 0;
        const float rest = std::max(0.0F, wide - fixed - station * count);
        start = box.x + look.unit(16);
        number = start + look.unit(kHeat);
        name = number + look.unit(kNumber);
        division = name + std::clamp(rest * 0.5F, look.unit(90), look.unit(340));
        stations = division + look.unit(kDivision);
        time = stations + station * count;
        remarks = time + look.unit(kOfficialTime);
        right = box.right() - look.unit(16);
    }
};

void EntryPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("floor entry", box, c.ground);
    draw_head(scene, box);
    const Columns columns(look, box, table_.columns.empty() ? 0 : table_.columns.size() - 1);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float top = box.y + look.unit(kHead);
    std::vector<ColumnTitle> stations;
    bool one_line = true;
    for (std::size_t i = 0; i + 1 < table_.columns.size(); ++i) {
        stations.emplace_back(look, table_.columns[i].name, columns.station - look.unit(8));
        one_line = one_line && stations.back().lines.size() == 1;
    }
    const float titles = look.unit(one_line ? kTitles : kTwoLineTitles);
    fill_box(list, {box.x, top, box.w, titles}, c.bar);
    const auto title = [&](float x, float room, const std::string& words) {
        look.words->draw(list, look.fonts.small,
                         {x, top + (titles - Words::line_height(look.fonts.small)) / 2}, c.soft,
                         look.words->fitted(look.fonts.small, words, room - look.unit(8)));
    };
    title(columns.start, look.unit(kHeat), tr("heat"));
    title(columns.number, look.unit(kNumber), tr("number"));
    title(columns.name, columns.division - columns.name, tr("name"));
    title(columns.division, look.unit(kDivision), tr("division"));
    for (std::size_t i = 0; i < stations.size(); ++i) {
        const float x = columns.stations + columns.station * static_cast<float>(i) + look.unit(8);
        const float line = look.unit(17), count = static_cast<float>(stations[i].lines.size());
        float y = top + (titles - line * (count - 1) - Words::line_height(look.fonts.small)) / 2;
        for (const std::string& words : stations[i].lines) {
            look.words->draw(list, look.fonts.small, {x, y}, c.soft, words);
            y += line;
        }
    }
    title(columns.time + look.unit(8), look.unit(kOfficialTime), tr("official time"));
    title(columns.remarks + look.unit(8), columns.right - columns.remarks, tr("to look at"));

    const float body = top + titles, row = look.unit(kEntryRow);
    if (table_.rows.empty()) {
        look.words->draw(list, look.fonts.body, {columns.start, body + look.unit(16)}, c.ink,
                         tr("Nobody is entered here. {} shows other runs, {} takes in a start list.",
                            scene.keys.label(Action::which_rows), scene.keys.label(Action::start_list)));
        ImGui::End();
        return;
    }
    ImGui::SetCursorScreenPos({box.x, body});
    begin_child("rows", {box.w, std::max(1.0F, box.bottom() - body)}, ImGuiWindowFlags_NoNav);
    const float height = ImGui::GetWindowHeight();
    if (scroll_to_row_) keep_in_sight(row * static_cast<float>(hand_.row), row);
    scroll_to_row_ = false;
    const float scrolled = ImGui::GetScrollY();
    const ImVec2 origin{box.x, body - scrolled};
    const auto first = static_cast<std::size_t>(std::max(0.0F, std::floor(scrolled / row)));
    const std::size_t last = std::min(table_.rows.size(), first + static_cast<std::size_t>(height / row) + 2);
    for (std::size_t i = first; i < last; ++i)
        draw_row(scene, columns, {origin.x, origin.y + row * static_cast<float>(i), box.w, row}, i);
    ImGui::SetCursorScreenPos(origin);
    ImGui::Dummy({1, row * static_cast<float>(table_.rows.size())});
    ImGui::EndChild();
    ImGui::End();
}

void EntryPage::draw_head(const Scene& scene, const Box& box) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    Box room{box.x + look.unit(16), box.y, box.w - look.unit(32), look.unit(kHead)};
    const auto chip = [&](Action action, const std::string& words, bool on) {
        const Chip drawn =
            draw_chip(list, look, room, scene.keys.binding(action).name, words, scene.keys.label(action), on);
        if (drawn.clicked) scene.commands.add(Do{action});
        const float used = drawn.box.w > 0 ? drawn.box.w + look.unit(8) : 0;
        room.x += used;
        room.w -= used;
    };
    chip(Action::which_rows, filter_words(scene.session.state(), filter_), true);
    chip(Action::judge_name, judge_.empty() ? tr("judge: nobody named") : tr("judge: {}", judge_), false);
    std::size_t called = 0;
    for (const EntryRow& row : table_.rows)
        called += std::any_of(row.cells.begin(), row.cells.end(), [](const auto& cell) { return cell.call; })
                      ? 1
                      : 0;
    const std::string words =
        hand_.typing == Typing::number
            ? tr("to number {}", hand_.text + "|")
            : tr("{} of {} with calls", called, tr_n("{} run", "{} runs", std::ssize(table_.rows)));
    const float w = look.words->width(look.fonts.body, words);
    if (w < room.w)
        look.words->draw(list, look.fonts.body,
                         {room.right() - w, box.y + (room.h - Words::line_height(look.fonts.body)) / 2},
                         hand_.typing == Typing::number ? c.ink : c.soft, words);
}

/// A click goes to a cell, and on the cell where one is already opens the list of what can be done there.
void EntryPage::point_at(const Scene& scene, std::size_t row, std::size_t column) const {
    if (row == hand_.row && column == hand_.column)
        scene.commands.add(OfMeet{CellMenu{ImGui::GetMousePos().x, ImGui::GetMousePos().y}});
    else
        scene.commands.add(OfMeet{TakeLine{row, column}});
}

void EntryPage::draw_row(const Scene& scene, const Columns& columns, const Box& box, std::size_t at) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const EntryRow& row = table_.rows[at];
    const bool here = at == hand_.row;
    if (here || at % 2 == 0) fill_box(list, box, here ? c.segment : c.row);
    const float y = box.y + (box.h - Words::line_height(look.fonts.body)) / 2;
    const Colour words = row.latest && row.status == meet::EntryStatus::entered ? c.ink : c.soft;
    const auto text = [&](float x, float to, ImFont* font, const std::string& what) {
        if (!what.empty())
            look.words->draw(list, font, {x, y}, words,
                             look.words->fitted(font, what, to - x - look.unit(8)));
    };
    text(columns.start, columns.number, look.fonts.body, fmt::format("{}.{}", row.heat, row.start));
    text(columns.number, columns.name, look.fonts.strong, row.number);
    text(columns.name, columns.division, look.fonts.body, row.rerun ? tr("{} · re-run", row.name) : row.name);
    text(columns.division, columns.stations, look.fonts.body, row.division);
    for (std::size_t i = 0; i < table_.columns.size(); ++i) {
        const bool time = i + 1 == table_.columns.size();
        const Box cell{time ? columns.time : columns.stations + columns.station * static_cast<float>(i),
                       box.y, time ? columns.remarks - columns.time : columns.station, box.h};
        if (hit(fmt::format("cell {} {}", at, i).c_str(), cell)) point_at(scene, at, i);
        if (ImGui::IsItemClicked(1)) {
            scene.commands.add(OfMeet{TakeLine{at, i}});
            scene.commands.add(OfMeet{CellMenu{ImGui::GetMousePos().x, ImGui::GetMousePos().y}});
        }
        draw_cell(scene, cell, row, i, here && i == hand_.column);
    }
    if (hit(fmt::format("row {}", at).c_str(), {box.x, box.y, columns.stations - box.x, box.h}))
        scene.commands.add(OfMeet{TakeLine{at, hand_.column}});
    std::string remark = row.latest ? status_words(row) : tr("was run again");
    const auto& found = remarks(scene.session, row);
    if (remark.empty() && !found.empty()) {
        remark = found.front().spoken();
        if (found.size() > 1) remark = tr("{} (and {} more)", remark, found.size() - 1);
        const float side = look.unit(6), x = columns.remarks + look.unit(8);
        list->AddRectFilled({x, box.y + (box.h - side) / 2}, {x + side, box.y + (box.h + side) / 2},
                            ink(kOrange));
    }
    text(columns.remarks + look.unit(20), columns.right + look.unit(8), look.fonts.body, remark);
}

void EntryPage::draw_cell(const Scene& scene, const Box& box, const EntryRow& row, std::size_t column,
                          bool here) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    const EntryCell& cell = row.cells[column];
    const Colour ground = &table_.rows[hand_.row] == &row ? c.segment : c.row;
    const auto solid = [&](const std::optional<meet::EntityKey>& key) {
        return !key || scene.session.solid(*key);
    };
    float x = box.x + look.unit(8);
    const float middle = box.y + box.h / 2;
    const auto words = [&](const std::string& what, ImFont* font, Colour colour) {
        const std::string fitted = look.words->fitted(font, what, box.right() - x - look.unit(4));
        look.words->draw(list, font, {x, middle - Words::line_height(font) / 2}, colour, fitted);
        x += look.words->width(font, fitted) + look.unit(6);
    };
    if (here && hand_.typing != Typing::nothing && hand_.typing != Typing::number) {
        words(hand_.text + "|", look.fonts.strong, c.ink);
    } else if (!cell.there) {
        list->AddLine({box.x + look.unit(8), middle}, {box.x + look.unit(16), middle}, ink(c.line),
                      std::max(1.0F, look.unit(1)));
    } else {
        if (cell.call) {
            const float r = look.unit(kDiscRadius);
            draw_call(list, look, {x + r, middle}, r, shape_of(*cell.call), solid(cell.call_key), ground);
            x += 2 * r + look.unit(6);
            const std::string word = call_words(cell);
            const bool room = box.right() - x > look.words->width(look.fonts.body, word) + look.unit(4);
            words(room ? word : word.substr(0, 1), look.fonts.body, c.ink);
        }
        if (!cell.time.empty() && box.right() - x > look.unit(30)) {
            const bool of_finish = column + 1 == table_.columns.size();
            words(cell.time, of_finish ? look.fonts.body : look.fonts.small,
                  solid(cell.time_key) ? c.ink : c.soft);
        }
        if (cell.under_appeal || cell.decided) {
            const std::string word = cell.under_appeal ? tr("appeal") : tr("decided");
            if (box.right() - x > look.words->width(look.fonts.small, word) + look.unit(4)) {
                words(word, look.fonts.small, c.soft);
            } else {
                // No room for the word: a corner is turned down, filled while the appeal waits.
                const float side = look.unit(9);
                const ImVec2 corner{box.right() - look.unit(4), box.y + look.unit(4)},
                    left{corner.x - side, corner.y}, down{corner.x, corner.y + side};
                if (cell.under_appeal)
                    list->AddTriangleFilled(left, corner, down, ink(kOrange));
                else
                    list->AddTriangle(left, corner, down, ink(c.soft), std::max(1.0F, look.unit(1)));
            }
        }
    }
    if (here)
        list->AddRect({box.x + look.unit(1), box.y + look.unit(1)},
                      {box.right() - look.unit(1), box.bottom() - look.unit(1)}, ink(c.chosen), look.unit(3),
                      0, std::max(1.0F, look.unit(2)));
}

}  // namespace plumbmark::desk
