// The page of the trials: the caution, the stations with their states, and what can be done with the chosen
// one.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/large_page.h"
#include "desk/internal/say.h"
#include "desk/internal/trials_desk.h"

namespace plumbmark::desk {
namespace {

constexpr float kStationRow = 48;

class TrialsPage {
  public:
    TrialsPage(const TrialsPaint& paint, TrialsView& view)
        : p_(paint), look_(paint.look), c_(*paint.look.colours), view_(view) {}

    /// What a release is not, above everything else; returns the height used.
    float caution(const Box& box) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const float bar = look_.unit(4), pad = look_.unit(8);
        const base::Sentence notice = study::release_notice();
        const float height =
            look_.words->draw_wrapped(list, look_.fonts.body, {box.x + bar + pad, box.y + pad / 2},
                                      box.w - bar - 2 * pad, c_.ink, notice.spoken()) +
            pad;
        list->AddRectFilled(top_left(box), {box.x + bar, box.y + height}, ink(kOrange));
        return height;
    }

    void stations(const Box& box) {
        const auto& all = p_.desk.document()->stations;
        const report::TrialsStation* chosen = p_.desk.station(view_);
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child("trials stations", {box.w, box.h}, ImGuiWindowFlags_NoNav);
        const float row = look_.unit(kStationRow);
        if (view_.show_station) keep_in_sight(row * static_cast<float>(chosen - all.data()), row);
        view_.show_station = false;
        const ImVec2 start = ImGui::GetCursorScreenPos();
        for (std::size_t i = 0; i < all.size(); ++i)
            station(all[i], {start.x, start.y + row * static_cast<float>(i), box.w, row}, &all[i] == chosen);
        float y = start.y + row * static_cast<float>(all.size()) + look_.unit(8);
        for (const std::string& key : p_.desk.document()->unknown_stations)
            y += look_.words->draw_wrapped(
                     ImGui::GetWindowDrawList(), look_.fonts.small, {start.x + look_.unit(4), y},
                     box.w - look_.unit(20), c_.soft,
                     tr("The course book has no station '{}' (any more); what was entered for it is kept.",
                        key)) +
                 look_.unit(4);
        ImGui::SetCursorScreenPos(start);
        ImGui::Dummy({1, y - start.y});
        ImGui::EndChild();
    }

    /// What the keys do, for the pointer as well.
    void actions(const Box& row) {
        const struct {
            const char* id;
            KeyPress key;
            std::string words;
            TrialsCommand command;
        } all[] = {{"release", {'R', 0}, tr("release it"), ReleaseStation{}},
                   {"close", {'C', 0}, tr("close the item"), CloseQuestion{}},
                   {"trial",
                    {'A', 0},
                    p_.run.empty() ? std::string(tr("enter a trial")) : tr("enter {}", p_.run),
                    EnterTrial{}},
                   {"rig", {'W', 0}, tr("write the rig down"), WriteRig{}},
                   {"sheet", {'O', 0}, tr("the sheet as a PDF"), PrintReleases{}}};
        std::vector<PageChip> chips;
        for (const auto& one : all)
            chips.push_back({one.id, one.words, p_.keys.label(one.key)});
        if (const auto clicked = draw_page_chips(look_, row, chips))
            p_.commands.add(OfTrials{all[*clicked].command});
    }

    /// 'alone': nothing else is there.
    void progress(const Box& box, bool alone) const {
        const double share = p_.desk.progress();
        draw_page_progress(look_, box, share,
                           alone ? tr("Ruling every trial: {:.0f} %", share * 100) : std::string());
    }

  private:
    void station(const report::TrialsStation& told, const Box& row, bool chosen) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const study::StationReport& report = told.report;
        if (hit(("station " + report.key).c_str(), row))
            p_.commands.add(OfTrials{TakeTrialsStation{report.key}});
        const Colour ground = chosen ? c_.segment : c_.float_ground;
        if (chosen) {
            fill_box(list, row, c_.segment);
            list->AddRectFilled(top_left(row), {row.x + look_.unit(4), row.bottom()}, ink(c_.chosen));
        }
        draw_verdict(list, look_, {row.x + look_.unit(20), row.y + row.h / 2}, look_.unit(6),
                     standing_shape(report.release.standing), ground);
        const float x = row.x + look_.unit(38), room = row.right() - x - look_.unit(14);
        look_.words->draw(list, look_.fonts.strong, {x, row.y + look_.unit(5)}, c_.ink,
                          look_.words->fitted(look_.fonts.strong, report.name, room));
        const auto open = static_cast<std::int64_t>(report.open().size());
        const std::string standing = report::standing_words(report.release.standing).spoken();
        const std::string words =
            open == 0 ? standing : tr("{}, {}", standing, tr_n("{} open item", "{} open items", open));
        look_.words->draw(list, look_.fonts.small, {x, row.y + look_.unit(26)}, chosen ? c_.ink : c_.soft,
                          look_.words->fitted(look_.fonts.small, words, room));
    }

    const TrialsPaint& p_;
    const Look& look_;
    const Palette& c_;
    TrialsView& view_;
};

}  // namespace

void draw_trials(const TrialsPaint& paint, const Box& box, TrialsView& view, PageView& page) {
    const base::Speaking in_the_windows_language;
    const Look& look = paint.look;
    const LargePage frame(look, box, "trials");
    const report::TrialsDocument* document = paint.desk.document();
    const std::string book = document == nullptr
                                 ? std::string()
                                 : tr("{}, revision {}. ", document->book_name, document->book_revision);
    frame.head(tr("What the trials prove"), book + tr("{} closes this.", paint.keys.label(Action::let_go)));
    ImDrawList* list = ImGui::GetWindowDrawList();
    TrialsPage drawn(paint, view);
    Box rest = frame.room();
    const auto take = [&rest](float height) {
        rest.y += height;
        rest.h -= height;
    };
    take(drawn.caution(rest) + look.unit(6));
    const report::TrialsStation* station = paint.desk.station(view);
    if (paint.desk.trouble()) {
        take(look.words->draw_wrapped(list, look.fonts.body, top_left(rest), rest.w, look.colours->ink,
                                      paint.desk.trouble()->spoken()) +
             look.unit(8));
    }
    if (station != nullptr) {
        if (paint.desk.working()) drawn.progress({rest.x, rest.y, rest.w, rest.h}, false);
        take(look.unit(4));
        const float column = std::clamp(rest.w * 0.24F, look.unit(200), look.unit(320));
        drawn.stations({rest.x, rest.y, column, rest.h});
        const float left = rest.x + column + look.unit(16), chips = look.unit(34);
        drawn.actions({left, rest.y, rest.right() - left, chips});
        draw_trials_station(paint, {left, rest.y + chips, rest.right() - left, rest.h - chips}, *station,
                            view);
    } else if (paint.desk.working()) {
        drawn.progress(rest, true);
    } else if (document != nullptr) {
        look.words->draw_wrapped(list, look.fonts.body, top_left(rest), rest.w, look.colours->ink,
                                 tr("The course book has no station."));
    }
    frame.end(page);
}

}  // namespace plumbmark::desk
