// How the queue of appeals is drawn, and the two forms about one.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/appeals_page.h"
#include "desk/internal/form_panel.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr float kHead = 44, kAppealRow = 32;

/// A heading and a body of words, one below the other; moves 'at' down.
class Column {
  public:
    Column(const Look& look, const Box& box) : look_(look), box_(box) {}

    void title(const std::string& words) { put(look_.fonts.title, look_.colours->ink, words, 10); }
    void strong(const std::string& words) { put(look_.fonts.strong, look_.colours->ink, words, 4); }
    void words(const std::string& words) { put(look_.fonts.body, look_.colours->ink, words, 6); }
    void soft(const std::string& words) { put(look_.fonts.body, look_.colours->soft, words, 6); }
    /// With a bar at its left: something stands in the way.
    void trouble(const std::string& words) {
        const float top = box_.y;
        this->words(words);
        ImGui::GetWindowDrawList()->AddRectFilled({box_.x - look_.unit(10), top + look_.unit(2)},
                                                  {box_.x - look_.unit(6), box_.y - look_.unit(8)},
                                                  ink(look_.colours->trouble));
    }
    void gap(float units) { move(look_.unit(units)); }
    void move(float pixels) {
        box_.y += pixels;
        box_.h -= pixels;
    }
    [[nodiscard]] const Box& rest() const { return box_; }

  private:
    void put(ImFont* font, Colour colour, const std::string& words, float after) {
        if (words.empty()) return;
        move(draw_words(look_, font, box_, colour, words) + look_.unit(after));
    }
    const Look& look_;
    Box box_;
};

/// A page with a column of its own in the middle, for a form.
Box form_column(const Look& look, const Box& box) {
    const float w = std::min(look.unit(620), box.w - look.unit(48));
    return {box.x + look.unit(24), box.y + look.unit(16), w, box.h - look.unit(24)};
}

/// Beside the form, what follows from it; below it where the window is narrow.
Box beside(const Look& look, const Box& box, const Box& form, float form_bottom) {
    const float left = form.right() + look.unit(40), room = box.right() - left - look.unit(24);
    if (room >= look.unit(280)) return {left, form.y, std::min(room, look.unit(560)), form.h};
    return {form.x + look.unit(10), form_bottom + look.unit(8), form.w - look.unit(10),
            box.bottom() - form_bottom};
}

}  // namespace

void AppealsPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("appeals", box, c.ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Box head{box.x + look.unit(16), box.y, box.w - look.unit(32), look.unit(kHead)};
    const Chip lodge = draw_chip(list, look, head, "lodge", tr("lodge an appeal"),
                                 scene.keys.label(Action::lodge_appeal), true);
    if (lodge.clicked) scene.commands.add(Do{Action::lodge_appeal});
    if (rows_.empty()) {
        const std::string words = tr("No appeal was lodged in this meet.");
        look.words->draw(
            list, look.fonts.title,
            {box.x + (box.w - look.words->width(look.fonts.title, words)) / 2, box.y + box.h * 0.4F}, c.ink,
            words);
        ImGui::End();
        return;
    }
    const float details = std::clamp(box.w * 0.34F, look.unit(320), look.unit(560));
    const float top = box.y + look.unit(kHead);
    draw_rows(scene, {box.x, top, box.w - details, box.bottom() - top});
    draw_details(scene, {box.right() - details, top, details, box.bottom() - top});
    ImGui::End();
}

void AppealsPage::draw_rows(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImGui::SetCursorScreenPos(top_left(box));
    begin_child("queue", {box.w, box.h}, ImGuiWindowFlags_NoNav);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float row = look.unit(kAppealRow);
    const ImVec2 start = ImGui::GetCursorScreenPos();
    const meet::WallTime now = review::now();
    for (std::size_t i = 0; i < rows_.size(); ++i) {
        const AppealRow& one = rows_[i];
        const Box b{start.x, start.y + row * static_cast<float>(i), box.w, row};
        if (i == cursor_ && scroll_to_cursor_) {
            ImGui::SetCursorScreenPos(top_left(b));
            ImGui::Dummy({1, row});
            if (b.y < box.y || b.bottom() > box.bottom()) ImGui::SetScrollHereY(0.5F);
            scroll_to_cursor_ = false;
        }
        if (hit(fmt::format("appeal {}", i).c_str(), b)) scene.commands.add(OfMeet{TakeLine{i}});
        if (i == cursor_ || i % 2 == 0) fill_box(list, b, i == cursor_ ? c.segment : c.row);
        if (i == cursor_) list->AddRectFilled(top_left(b), {b.x + look.unit(4), b.bottom()}, ink(c.chosen));
        const Colour words = one.waits ? c.ink : c.soft;
        const auto text = [&](float x, float to, ImFont* font, const std::string& what) {
            look.words->draw(list, font, {x, b.y + (row - Words::line_height(font)) / 2}, words,
                             look.words->fitted(font, what, to - x - look.unit(10)));
        };
        const float number = b.x + look.unit(16), athlete = number + look.unit(48),
                    state = b.right() - std::min(look.unit(170), box.w * 0.3F);
        const float station = athlete + look.unit(120), by = station + (state - station) * 0.5F;
        text(number, athlete, look.fonts.strong, std::to_string(one.appeal.value));
        text(athlete, station, look.fonts.body, tr("number {}", one.number));
        text(station, by, look.fonts.body, one.station);
        text(by, state, look.fonts.body, one.by);
        text(state, b.right(), look.fonts.body,
             one.waits ? tr("waits · {}", time_left_words(one.deadline, now)) : one.state);
    }
    ImGui::SetCursorScreenPos(start);
    ImGui::Dummy({1, row * static_cast<float>(rows_.size())});
    ImGui::EndChild();
}

void AppealsPage::draw_details(const Scene& scene, const Box& box) const {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    fill_box(list, box, c.bar);
    const AppealRow& row = rows_[cursor_];
    Column column(look, {box.x + look.unit(20), box.y + look.unit(16), box.w - look.unit(40), box.h});
    column.title(tr("Appeal {} · number {} · {}", row.appeal.value, row.number, row.station));
    column.soft(tr("Lodged {} by {}.", review::time_of_day(row.lodged_at), row.by));
    column.words(row.call.empty() ? tr("No call was given.") : tr("Floor call: {}.", row.call));
    if (!row.point.empty()) column.words(tr("Asked: {}", row.point));
    column.gap(8);
    if (row.waits) {
        column.strong(row.deadline
                          ? tr("Appeals about this result end {} ({}).", review::time_of_day(*row.deadline),
                               time_left_words(row.deadline, review::now()))
                          : tr("The result was not announced yet, so no time for appeals runs."));
    } else {
        column.strong(row.state);
    }
    column.words(row.more);
    column.gap(8);
    const struct {
        Action action;
        const char* words;
        bool there;
    } lines[] = {{Action::review_run, tr("review its run"), true},
                 {Action::decide_appeal, tr("decide it"), row.waits},
                 {Action::withdraw_appeal, tr("withdraw it"), row.waits}};
    for (const auto& line : lines) {
        if (!line.there) continue;
        const Box b{column.rest().x, column.rest().y, std::min(column.rest().w, look.unit(300)),
                    look.unit(32)};
        draw_invitation(list, look, b, scene.keys.label(line.action), line.words);
        if (hit(line.words, b)) scene.commands.add(Do{line.action});
        column.gap(34);
    }
}

void LodgingPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    begin_zone("lodge an appeal", box, look.colours->ground);
    const Box form = form_column(look, box);
    Column column(look, form);
    column.title(tr("Lodge an appeal"));
    const float bottom = column.rest().y + draw_form(scene, column.rest(), form_);
    Column follows(look, beside(look, box, form, bottom));
    if (obstacles_.empty()) {
        follows.strong(tr("It is to be heard."));
        follows.soft(
            tr("The call is marked as under appeal, and what is asked becomes the question of the run's "
               "review."));
    } else {
        follows.strong(complete_ ? tr("It would not be heard:") : tr("Before it can be lodged:"));
        follows.gap(2);
        for (const std::string& sentence : obstacles_)
            follows.trouble(sentence);
    }
    const meet::AppealRules& rules = scene.session.state().rules().appeals;
    follows.gap(8);
    follows.soft(tr("In this meet: {}; {}.",
                    rules.minutes == 0 ? std::string(tr("no deadline"))
                                       : tr_n("{} minute from the announcement",
                                              "{} minutes from the announcement", rules.minutes),
                    rules.most == 0 ? std::string(tr("any number of appeals"))
                                    : tr("at most {} for each athlete", rules.most)));
    ImGui::End();
}

void DecidingPage::draw(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("decide an appeal", box, c.ground);
    const meet::State& state = scene.session.state();
    const auto stored = state.appeals().find(appeal_);
    if (stored == state.appeals().end()) return ImGui::End();
    const meet::Appeal& appeal = stored->second;
    const Box form = form_column(look, box);
    Column column(look, form);
    const course::CourseBook* book = scene.session.book();
    const course::StationId station =
        book != nullptr ? book->find_station(appeal.station) : course::StationId{};
    column.title(tr("Decide appeal {} · number {} · {}", appeal_.value,
                    review::number_of(state, state.runs().at(appeal.run)),
                    station.valid() ? book->station(station).name : appeal.station));
    if (!appeal.point.empty()) column.words(tr("Asked: {}", appeal.point));
    column.gap(4);
    const float bottom = column.rest().y + draw_form(scene, column.rest(), form_);
    Column follows(look, beside(look, box, form, bottom));
    follows.strong(tr("The ruling"));
    if (!ruling_) {
        follows.soft(tr("The run's marks are being ruled."));
    } else if (!ruling_->ok()) {
        follows.trouble(ruling_->error().spoken());
    } else {
        const float r = look.unit(7), line = Words::line_height(look.fonts.title);
        const Box& at = follows.rest();
        draw_verdict(ImGui::GetWindowDrawList(), look, {at.x + r, at.y + line / 2}, r, (*ruling_)->verdict,
                     c.ground);
        look.words->draw(ImGui::GetWindowDrawList(), look.fonts.title, {at.x + look.unit(24), at.y}, c.ink,
                         tr(ruling::verdict_words((*ruling_)->verdict)));
        follows.move(line + look.unit(4));
        follows.words((*ruling_)->sentence.spoken());
        follows.soft(tr("It is what the marks of the run come to; {} goes to its review.",
                        scene.keys.label(Action::meet)));
        follows.gap(10);
        follows.strong(tr("What it does"));
        const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station);
        if (call != nullptr)
            follows.words(
                meet::effect_of(state.rules().appeals, call->call, (*ruling_)->verdict).sentence.spoken());
        if (!moves_) {
            follows.soft(tr("The standings with it are being worked out."));
        } else if (moves_->empty()) {
            follows.words(tr("The standings stay as they are."));
        } else {
            for (const std::string& move : *moves_)
                follows.words(move);
        }
        follows.gap(10);
        if (const auto made = decision(state)) {
            if (const auto objection = meet::objection(state, *made)) {
                follows.strong(tr("Before it can be decided"));
                follows.trouble(objection->spoken());
            }
        }
    }
    ImGui::End();
}

}  // namespace plumbmark::desk
