// The page of a season: the meets that it is of, the stations over all of them, and the chosen one in a plot
// and in words.
#include <algorithm>

#include "desk/internal/large_page.h"
#include "desk/internal/say.h"
#include "desk/internal/season_desk.h"

namespace plumbmark::desk {
namespace {

constexpr float kStationRow = 48;

class SeasonPage {
  public:
    SeasonPage(const SeasonPaint& paint, SeasonView& view)
        : p_(paint), look_(paint.look), c_(*paint.look.colours), view_(view) {}

    void meets_and_stations(const Box& box, const report::SeasonDocument& document) {
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child("season list", {box.w, box.h}, ImGuiWindowFlags_NoNav);
        ImDrawList* list = ImGui::GetWindowDrawList();
        const ImVec2 start = ImGui::GetCursorScreenPos();
        const float room = box.w - look_.unit(18);
        const auto chosen = p_.desk.station(view_);
        const float row = look_.unit(kStationRow);
        if (view_.show_station && chosen) keep_in_sight(row * static_cast<float>(*chosen), row);
        view_.show_station = false;
        float y = start.y;
        for (std::size_t i = 0; i < document.stations.size(); ++i, y += row)
            station(document.stations[i], {start.x, y, box.w, row}, chosen == i);
        y += look_.unit(12);
        for (const report::SeasonFile& file : document.files)
            y += look_.words->draw_wrapped(list, look_.fonts.small, {start.x + look_.unit(4), y}, room,
                                           file.error ? c_.ink : c_.soft,
                                           report::season_file_words(document, file).spoken()) +
                 look_.unit(6);
        ImGui::SetCursorScreenPos(start);
        ImGui::Dummy({1, y - start.y});
        ImGui::EndChild();
    }

    /// What the keys do, for the pointer as well.
    void actions(const Box& row) const {
        const struct {
            const char* id;
            KeyPress key;
            std::string words;
            SeasonCommand command;
        } all[] = {{"who", {'N', 0}, tr("whose season"), ListSeasonAthletes{}},
                   {"meets", {'F', 0}, tr("another meet"), ListSeasonFiles{}},
                   {"plots", {'O', 0}, tr("the plots as a picture"), PrintSeason{}}};
        std::vector<PageChip> chips;
        for (const auto& one : all)
            chips.push_back({one.id, one.words, p_.keys.label(one.key)});
        if (const auto clicked = draw_page_chips(look_, row, chips))
            p_.commands.add(OfSeason{all[*clicked].command});
    }

    void words(const Box& box, const report::SeasonDocument& document) {
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child("season words", {box.w, box.h}, ImGuiWindowFlags_NoNav);
        if (view_.scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + view_.scroll * look_.unit(24));
        view_.scroll = 0;
        const ImVec2 start = ImGui::GetCursorScreenPos();
        float y = start.y;
        const auto lines = [&](const std::vector<report::StudyLine>& all) {
            for (const report::StudyLine& one : all)
                y += line({start.x, y}, box.w - look_.unit(16), one.depth, one.text.spoken());
        };
        if (const auto chosen = p_.desk.station(view_)) {
            lines(report::season_station_lines(document, document.stations[*chosen]));
            y += look_.unit(10);
        }
        lines(report::season_run_lines(document));
        ImGui::Dummy({1, y - start.y + look_.unit(8)});
        ImGui::EndChild();
    }

    /// 'alone': nothing else is there.
    void progress(const Box& box, bool alone) const {
        const double share = p_.desk.progress();
        draw_page_progress(look_, box, share,
                           alone ? tr("Laying every run open: {:.0f} %", share * 100) : std::string());
    }

  private:
    void station(const report::SeasonStation& told, const Box& row, bool chosen) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        if (hit(("season " + told.key).c_str(), row)) p_.commands.add(OfSeason{TakeSeasonStation{told.key}});
        if (chosen) {
            fill_box(list, row, c_.segment);
            list->AddRectFilled(top_left(row), {row.x + look_.unit(4), row.bottom()}, ink(c_.chosen));
        }
        const float x = row.x + look_.unit(14), room = row.right() - x - look_.unit(14);
        look_.words->draw(list, look_.fonts.strong, {x, row.y + look_.unit(5)}, c_.ink,
                          look_.words->fitted(look_.fonts.strong, told.name, room));
        const std::string words =
            tr("cleared {}, failed {}, not shown {}", told.clear, told.fail, told.not_shown);
        look_.words->draw(list, look_.fonts.small, {x, row.y + look_.unit(26)}, chosen ? c_.ink : c_.soft,
                          look_.words->fitted(look_.fonts.small, words, room));
    }

    float line(ImVec2 at, float width, int depth, const std::string& text) const {
        if (text.empty()) return look_.unit(10);
        ImFont* font = depth == 0 ? look_.fonts.strong : look_.fonts.body;
        const float in = look_.unit(14) * static_cast<float>(depth);
        return look_.words->draw_wrapped(ImGui::GetWindowDrawList(), font, {at.x + in, at.y}, width - in,
                                         depth > 1 ? c_.soft : c_.ink, text) +
               look_.unit(3);
    }

    const SeasonPaint& p_;
    const Look& look_;
    const Palette& c_;
    SeasonView& view_;
};

}  // namespace

void draw_season(const SeasonPaint& paint, const Box& box, SeasonView& view, PageView& page) {
    const base::Speaking in_the_windows_language;
    const Look& look = paint.look;
    const LargePage frame(look, box, "season");
    frame.head(
        view.athlete.empty() ? std::string(tr("A season of everybody")) : tr("A season of {}", view.athlete),
        tr("{} closes this.", paint.keys.label(Action::let_go)));
    const report::SeasonDocument* document = paint.desk.document();
    SeasonPage drawn(paint, view);
    Box rest = frame.room();
    const auto take = [&rest](float height) {
        rest.y += height;
        rest.h -= height;
    };
    const float chips = look.unit(34);
    drawn.actions({rest.x, rest.y, rest.w, chips});
    take(chips + look.unit(4));
    if (paint.desk.trouble())
        take(look.words->draw_wrapped(ImGui::GetWindowDrawList(), look.fonts.body, top_left(rest), rest.w,
                                      look.colours->ink, paint.desk.trouble()->spoken()) +
             look.unit(8));
    if (document == nullptr) {
        if (paint.desk.working()) drawn.progress(rest, true);
        return frame.end(page);
    }
    if (paint.desk.working()) drawn.progress({rest.x, rest.y, rest.w, rest.h}, false);
    take(look.unit(4));
    const float column = std::clamp(rest.w * 0.28F, look.unit(220), look.unit(360)), gap = look.unit(16);
    drawn.meets_and_stations({rest.x, rest.y, column, rest.h}, *document);
    Box right{rest.x + column + gap, rest.y, rest.w - column - gap, rest.h};
    if (const auto chosen = paint.desk.station(view)) {
        const float high = std::clamp(right.h * 0.45F, look.unit(130), look.unit(300));
        draw_season_plot(look, {right.x, right.y, right.w, high}, paint.desk.plot(),
                         paint.desk.plot().rows[*chosen]);
        right.y += high + look.unit(10);
        right.h -= high + look.unit(10);
    }
    drawn.words(right, *document);
    frame.end(page);
}

}  // namespace plumbmark::desk
