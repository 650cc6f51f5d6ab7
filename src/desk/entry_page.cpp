#include "desk/internal/entry_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
EntryFilter usual_filter(const meet::State& state) {
    std::vector<const meet::Round*> rounds;
    for (const auto& [id, round] : state.rounds())
        rounds.push_back(&round);
    std::stable_sort(rounds.begin(), rounds.end(), [](auto* a, auto* b) { return a->number > b->number; });
    // Entries of the last round came last: from the end they are found at once, also in a large meet.
    const auto& entries = state.entries();
    for (const meet::Round* round : rounds)
        if (std::any_of(entries.rbegin(), entries.rend(),
                        [&](const auto& entry) { return entry.second.round == round->id; }))
            return {round->id, {}, {}};
    return {};
}

Chooser filter_list(const meet::State& state, const EntryFilter& now, bool with_heats) {
    Chooser list;
    list.title = tr("Which runs are shown? Now: {}", filter_words(state, now));
    list.typed = true;
    const auto add = [&](const std::string& label, const char* what, const EntryFilter& filter) {
        list.choices.push_back({label, filter == now ? tr("as it is") : what, OfMeet{TakeFilter{filter}}});
    };
    add(tr("every run"), tr("all rounds, divisions and heats"), {});
    std::vector<const meet::Round*> rounds;
    for (const auto& [id, round] : state.rounds())
        rounds.push_back(&round);
    std::sort(rounds.begin(), rounds.end(), [](auto* a, auto* b) { return a->number < b->number; });
    for (const meet::Round* round : rounds) {
        EntryFilter one = now;
        one.round = round->id;
        one.heat.reset();
        add(filter_words(state, {round->id, {}, {}}), tr("round"), one);
    }
    for (const auto& [id, division] : state.divisions()) {
        EntryFilter one = now;
        one.division = id;
        add(division.name.empty() ? division.key : division.key + " · " + division.name, tr("division"), one);
    }
    if (now.division) {
        EntryFilter one = now;
        one.division.reset();
        add(tr("every division"), "", one);
    }
    std::set<std::int32_t> heats;
    for (const auto& [id, entry] : state.entries())
        if (!now.round || entry.round == *now.round) heats.insert(entry.heat);
    if (!with_heats || heats.size() < 2) return list;
    for (const std::int32_t heat : heats) {
        EntryFilter one = now;
        one.heat = heat;
        add(tr("heat {}", heat), tr("heat"), one);
    }
    EntryFilter one = now;
    one.heat.reset();
    if (now.heat) add(tr("every heat"), "", one);
    return list;
}

void EntryPage::update(review::Session& session) {
    if (made_ && changes_ == session.changes()) return;
    const meet::State& state = session.state();
    const meet::BookId newest = meet::newest_book(state);
    if (!courses_ || newest != courses_book_ || !(courses_divisions_ == state.divisions())) {
        courses_.emplace(state);
        courses_book_ = newest;
        courses_divisions_ = state.divisions();
    }
    if (!filter_chosen_) filter_ = usual_filter(state);
    EntryTable now = entry_table(state, *courses_, filter_);
    hand_.stay(table_, now);
    table_ = std::move(now);
    remarks_.clear();
    changes_ = session.changes();
    made_ = true;
}

const EntryRow* EntryPage::row() const {
    return hand_.row < table_.rows.size() ? &table_.rows[hand_.row] : nullptr;
}

meet::RunId EntryPage::run() const {
    const EntryRow* now = row();
    return now != nullptr ? now->run : meet::RunId{};
}

void EntryPage::go_to(meet::RunId run) {
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
        if (table_.rows[i].run == run && run.valid() && hand_.row != i) {
            hand_.let_go();
            hand_.row = i;
            scroll_to_row_ = true;
        }
    }
}

const std::vector<base::Sentence>& EntryPage::remarks(const review::Session& session,
                                                      const EntryRow& row) const {
    static const std::vector<base::Sentence> kNone;
    const auto run = session.state().runs().find(row.run);
    if (run == session.state().runs().end()) return kNone;
    const auto known = remarks_.find(row.run);
    if (known != remarks_.end()) return known->second;
    const course::CourseBook* book = courses_->of(run->second);
    return remarks_
        .emplace(row.run, book != nullptr
                              ? meet::floor_remarks(session.state(), *book, row.run)
                              : std::vector<base::Sentence>{tr("The run has no course that can be read.")})
        .first->second;
}

// --- keys ---

bool EntryPage::key(const MeetHands& hands, const MeetKey& pressed) {
    const auto moved = [&](std::ptrdiff_t rows, std::ptrdiff_t columns) {
        if (!take_typed(hands)) return true;
        hand_.move(table_, rows, columns);
        scroll_to_row_ = true;
        return true;
    };
    const std::ptrdiff_t all = static_cast<std::ptrdiff_t>(table_.rows.size());
    if ((pressed.mods & ~kShift) == 0) {
        switch (pressed.key) {
            case key_down:
                return moved(1, 0);
            case key_up:
                return moved(-1, 0);
            case key_left:
                return moved(0, -1);
            case key_right:
                return moved(0, 1);
            case key_page_down:
                return moved(15, 0);
            case key_page_up:
                return moved(-15, 0);
            case key_home:
                return moved(-all, 0);
            case key_end:
                return moved(all, 0);
            case key_enter:
            case key_keypad_enter:
                if (hand_.typing == Typing::number) return hand_.let_go(), true;
                return moved(1, 0);
            case key_tab:
                if (!take_typed(hands)) return true;
                hand_.tab(table_, (pressed.mods & kShift) != 0);
                return scroll_to_row_ = true;
            case key_backspace:
                if (hand_.typing != Typing::nothing) hand_.take_back();
                return true;
            case key_escape:
                if (hand_.typing == Typing::nothing) return false;
                return hand_.let_go(), true;
            default:
                break;
        }
    }
    return pressed.action && act(hands, *pressed.action);
}

bool EntryPage::text(const MeetHands&, char32_t character) {
    const std::size_t before = hand_.row;
    if (!hand_.type(table_, character)) return false;
    scroll_to_row_ |= hand_.row != before;
    return true;
}

bool EntryPage::act(const MeetHands& hands, Action action) {
    switch (action) {
        case Action::call_clear:
            return call(hands, meet::Call::clear), true;
        case Action::call_fail:
            return call(hands, meet::Call::fail), true;
        case Action::no_call:
            return call(hands, std::nullopt), true;
        case Action::station_time:
            return begin_time(hands), true;
        case Action::call_points:
            return begin_points(hands), true;
        case Action::judge_name:
            asked_ = Asked::judge;
            hands.write(tr("Who gives the calls and times from now on?"),
                        tr("Kept with each call until another name is set; empty: no name."), judge_);
            return true;
        case Action::give_rerun:
            if (const EntryRow* now = row()) {
                if (!now->run.valid())
                    return hands.say(tr("Number {} has not run yet, so there is nothing to run again.",
                                        now->number)),
                           true;
                hands.views.offer =
                    Offer{tr("A re-run of number {}? The calls so far stay; those of the re-run go "
                             "to a row of their own.",
                             now->number),
                          OfMeet{TakeRerun{now->entry}}};
            }
            return true;
        case Action::entry_status:
            return list_statuses(hands), true;
        case Action::which_rows:
            return list_filters(hands), true;
        case Action::review_run:
            if (const EntryRow* now = row()) {
                if (now->run.valid())
                    hands.commands.add(OfMeet{ReviewRun{now->run}});
                else
                    hands.say(tr("Number {} has no run yet. A call or a time begins one.", now->number));
            }
            return true;
        default:
            return false;
    }
}

bool EntryPage::may_enter(const MeetHands& hands, bool at_station) const {
    const EntryRow* now = row();
    if (now == nullptr) return hands.say(tr("Nobody is shown here.")), false;
    if (!now->latest)
        return hands.say(tr("This run was run again: calls go to the re-run, in the row below.")), false;
    const EntryCell& cell = now->cells[hand_.column];
    if (at_station && table_.columns[hand_.column].station.empty())
        return hands.say(tr("A call belongs to a station; this column takes the official time.")), false;
    if (!cell.there)
        return hands.say(now->division.empty()
                             ? tr("The course of this run does not have this station.")
                             : tr("The course of division {} does not have this station.", now->division)),
               false;
    return true;
}

void EntryPage::enter(const MeetHands& hands, meet::FloorLine line) {
    const course::CourseBook* book = courses_ ? courses_->of_entry(line.entry) : nullptr;
    if (book == nullptr)
        return hands.complain(
            {base::Category::not_found,
             tr("There is no course for this athlete. Drop a course book (.course) that has "
                "their division and lane onto the window."),
             ""});
    line.judge = judge_;
    line.at = review::now();
    hands.apply(meet::floor_change(hands.session.state(), *book, line));
}

void EntryPage::call(const MeetHands& hands, std::optional<meet::Call> call) {
    if (!take_typed(hands)) return;
    const bool of_time = !table_.columns.empty() && table_.columns[hand_.column].station.empty();
    if (!may_enter(hands, !(of_time && !call))) return;
    const EntryRow& now = *row();
    const EntryCell& cell = now.cells[hand_.column];
    const std::string& station = table_.columns[hand_.column].station;
    meet::FloorLine line;
    line.entry = now.entry;
    if (!call) {
        if (cell.call_key) line.calls[station] = std::nullopt;
        if (cell.time_key) line.times[station] = {};
        if (!cell.call_key && !cell.time_key) return;
    } else {
        const bool given = cell.call == call;
        if (given) {
            const auto& stored = hands.session.state().floor_calls().at({cell.call_key->id});
            if (judge_.empty() || stored.judge == judge_) return;
        }
        line.calls[station] = call;
        if (given && cell.points) line.points[station] = *cell.points;
    }
    enter(hands, std::move(line));
}

void EntryPage::begin_time(const MeetHands& hands) {
    if (!take_typed(hands) || !may_enter(hands, false)) return;
    hand_.typing = Typing::time;
    hand_.text.clear();
}

void EntryPage::begin_points(const MeetHands& hands) {
    if (!take_typed(hands) || !may_enter(hands, true)) return;
    if (row()->cells[hand_.column].call != meet::Call::fail)
        return hands.say(
            tr("Points are said of a fail: how far the athlete came. A clear has all of the station's."));
    hand_.typing = Typing::points;
    hand_.text.clear();
}

bool EntryPage::take_typed(const MeetHands& hands) {
    const Typing typing = hand_.typing;
    const std::string text = hand_.text;
    if (typing == Typing::nothing) return true;
    if (typing == Typing::number) {
        if (!row_of_number(table_, text)) hands.say(tr("Nobody with number {} is shown here.", text));
        hand_.let_go();
        return true;
    }
    if (text.empty()) return hand_.let_go(), true;
    if (!may_enter(hands, false)) return false;
    const std::string& station = table_.columns[hand_.column].station;
    meet::FloorLine line;
    line.entry = row()->entry;
    if (typing == Typing::time) {
        auto watches = meet::read_watches(text);
        if (!watches) return hands.complain(watches.error()), false;
        line.times[station] = std::move(*watches);
    } else {
        std::int32_t points = 0;
        const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), points);
        if (problem != std::errc() || end != text.data() + text.size())
            return hands.say(tr("'{}' is no number of points.", text)), false;
        line.calls[station] = meet::Call::fail;
        line.points[station] = points;
    }
    hand_.let_go();
    const std::size_t before = hands.session.changes();
    enter(hands, std::move(line));
    return hands.session.changes() != before || typing == Typing::time;
}

// --- statuses, re-runs, what is shown ---

void EntryPage::list_cell(const MeetHands& hands, float x, float y) const {
    const EntryRow* now = row();
    if (now == nullptr) return;
    const bool time = table_.columns[hand_.column].station.empty();
    Chooser list;
    list.at = {{x, y}};
    list.title = tr("Number {}: {}", now->number, table_.columns[hand_.column].name);
    const auto add = [&](Action action, const char* words) {
        list.choices.push_back({words, hands.keys.label(action), Do{action}});
    };
    if (!time) add(Action::call_clear, tr("clear"));
    if (!time) add(Action::call_fail, tr("fail"));
    add(Action::no_call, time ? tr("take the time back") : tr("take it back"));
    add(Action::station_time, tr("write a time"));
    if (!time) add(Action::call_points, tr("points of a fail"));
    add(Action::entry_status, tr("status"));
    add(Action::give_rerun, tr("re-run"));
    add(Action::lodge_appeal, tr("lodge an appeal"));
    add(Action::review_run, tr("review this run"));
    hands.views.chooser = std::move(list);
}

void EntryPage::list_statuses(const MeetHands& hands) const {
    const EntryRow* now = row();
    if (now == nullptr) return;
    Chooser list;
    list.title = tr("Number {}: what is to be known?", now->number);
    for (const meet::EntryStatus status : {meet::EntryStatus::entered, meet::EntryStatus::not_started,
                                           meet::EntryStatus::withdrawn, meet::EntryStatus::disqualified}) {
        if (status == now->status) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back({entry_status_words(status), status == now->status ? tr("as it is") : "",
                                OfMeet{TakeStatus{now->entry, status}}});
    }
    hands.views.chooser = std::move(list);
}

void EntryPage::list_filters(const MeetHands& hands) const {
    hands.views.chooser = filter_list(hands.session.state(), filter_, true);
}

void EntryPage::put_status(const MeetHands& hands, meet::EntryId id, meet::EntryStatus status,
                           const std::string& reason) const {
    const meet::State& state = hands.session.state();
    const auto entry = state.entries().find(id);
    if (entry == state.entries().end()) return;
    meet::Entry after = entry->second;
    after.status = status;
    after.reason = reason;
    if (after == entry->second) return;
    hands.apply(meet::Change{
        "status of number " + state.athletes().at(after.athlete).number, {{entry->second, after}}, 0});
}

void EntryPage::give_rerun(const MeetHands& hands, meet::EntryId entry) {
    const course::CourseBook* book = courses_ ? courses_->of_entry(entry, true) : nullptr;
    if (book == nullptr)
        return hands.complain(
            {base::Category::not_found, tr("There is no course for this athlete to run again on."), ""});
    meet::FloorLine line;
    line.entry = entry;
    if (!hands.apply(meet::floor_change(hands.session.state(), *book, line, true))) return;
    update(hands.session);
    for (std::size_t i = 0; i < table_.rows.size(); ++i)
        if (table_.rows[i].entry == entry && table_.rows[i].latest) hand_.row = i;
    scroll_to_row_ = true;
}

void EntryPage::kept(const MeetHands& hands, const std::string& line) {
    const std::string text(base::trimmed(line));
    if (asked_ == Asked::reason) return put_status(hands, asked_entry_, asked_status_, text);
    judge_ = text;
}

void EntryPage::carry_out(const MeetHands& hands, const MeetCommand& command) {
    if (const auto* line = std::get_if<TakeLine>(&command)) {
        if (!take_typed(hands) || line->line >= table_.rows.size()) return;
        hand_.row = line->line;
        hand_.column = std::min(line->column, table_.columns.size() - 1);
    } else if (const auto* menu = std::get_if<CellMenu>(&command)) {
        list_cell(hands, menu->x, menu->y);
    } else if (const auto* filter = std::get_if<TakeFilter>(&command)) {
        filter_ = filter->filter;
        filter_chosen_ = true;
        made_ = false;
        scroll_to_row_ = true;
        update(hands.session);
    } else if (const auto* status = std::get_if<TakeStatus>(&command)) {
        const bool with_reason = status->status == meet::EntryStatus::withdrawn ||
                                 status->status == meet::EntryStatus::disqualified;
        if (!with_reason) return put_status(hands, status->entry, status->status, "");
        asked_ = Asked::reason;
        asked_entry_ = status->entry;
        asked_status_ = status->status;
        const auto& entry = hands.session.state().entries().at(status->entry);
        hands.write(tr("Number {} is {}: why?", hands.session.state().athletes().at(entry.athlete).number,
                       entry_status_words(status->status)),
                    tr("It stands on the results; may stay empty."), entry.reason);
    } else if (const auto* rerun = std::get_if<TakeRerun>(&command)) {
        give_rerun(hands, rerun->entry);
    }
}

// --- words ---

std::vector<Hint> EntryPage::hints(const Keymap& keys) const {
    const auto label = [&](Action action) { return keys.label(action); };
    if (hand_.typing == Typing::number)
        return {{{tr("0 to 9")}, tr("the number")},
                {{label(Action::take)}, tr("there")},
                {{label(Action::let_go)}, tr("leave")}};
    if (hand_.typing == Typing::time)
        return {{{"61.20", "1:01.20", "61.20/61.24"}, tr("one watch, or two")},
                {{label(Action::take)}, tr("keep, next row")},
                {{label(Action::let_go)}, tr("leave")}};
    if (hand_.typing == Typing::points)
        return {{{tr("0 to 9")}, tr("points the fail came to")}, {{label(Action::take)}, tr("keep")}};
    if (table_.rows.empty())
        return {{{label(Action::which_rows)}, tr("which runs are shown")},
                {{label(Action::help)}, tr("all keys")}};
    std::vector<Hint> list;
    const bool time = table_.columns[hand_.column].station.empty();
    if (time)
        list.push_back({{tr("0 to 9")}, tr("write the time")});
    else
        list.push_back({{label(Action::call_clear), label(Action::call_fail), label(Action::no_call)},
                        tr("clear, fail, none")});
    list.push_back({{label(Action::take)}, tr("next row")});
    if (!time) list.push_back({{tr("0 to 9")}, tr("go to a number")});
    if (!time) list.push_back({{label(Action::station_time)}, tr("time here")});
    list.push_back({{label(Action::entry_status)}, tr("status")});
    list.push_back({{label(Action::give_rerun)}, tr("re-run")});
    list.push_back({{label(Action::review_run)}, tr("review")});
    list.push_back({{label(Action::meet)}, tr("back to the run")});
    list.push_back({{label(Action::trials)}, tr("the trials")});
    list.push_back({{label(Action::help)}, tr("all keys")});
    return list;
}

std::string EntryPage::lead(const review::Session& session) const {
    const EntryRow* now = row();
    if (now == nullptr) return {};
    const std::string apart = status_words(*now);
    if (!apart.empty()) return tr("Number {}: {}", now->number, apart);
    const auto& found = remarks(session, *now);
    return found.empty() ? std::string() : found.front().spoken();
}

std::string EntryPage::title() const {
    const EntryRow* now = row();
    if (now == nullptr) return tr("floor entry");
    return now->rerun ? tr("floor entry · {} re-run · {}", now->number, table_.columns[hand_.column].name)
                      : tr("floor entry · {} · {}", now->number, table_.columns[hand_.column].name);
}

}  // namespace plumbmark::desk
