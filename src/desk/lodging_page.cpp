// The form that lodges an appeal.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/entry_table.h"
#include "desk/internal/appeals_page.h"
#include "desk/internal/entry_page.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr meet::Capacity kCapacities[] = {meet::Capacity::athlete,    meet::Capacity::coach,
                                          meet::Capacity::club,       meet::Capacity::station_judge,
                                          meet::Capacity::head_judge, meet::Capacity::jury};

}  // namespace

// --- what both forms share ---

bool AppealForm::key(const MeetHands& hands, const MeetKey& pressed) {
    switch (form_.press(pressed.key, pressed.mods)) {
        case FormAsk::moved:
            return true;
        case FormAsk::take_up:
            return take_up(hands, form_.cursor), true;
        case FormAsk::write_on:
            return write(hands, form_.cursor, true), true;
        case FormAsk::nothing:
            break;
    }
    if (pressed.action == Action::let_go) return hands.show(MeetPageKind::appeals), true;
    return false;
}

void AppealForm::carry_out(const MeetHands& hands, const MeetCommand& command) {
    if (const auto* line = std::get_if<TakeLine>(&command)) {
        form_.cursor = std::min(line->line, form_.fields.size() - 1);
        take_up(hands, form_.cursor);
    } else if (const auto* choice = std::get_if<TakeChoice>(&command)) {
        choose(choice->field, choice->value);
        form_.move(1);
    }
}

void AppealForm::write(const MeetHands& hands, std::size_t field, bool begun) {
    written_ = field;
    const FormField& now = form_.fields[field];
    hands.write(now.label, now.hint, begun ? "" : now.value);
    hands.views.entry->takes_key = begun;
}

void AppealForm::list_capacities(const MeetHands& hands, std::size_t field, meet::Capacity now) {
    Chooser list;
    list.title = tr("As what?");
    for (const meet::Capacity capacity : kCapacities) {
        if (capacity == now) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back(
            {meet::capacity_words(capacity), "", OfMeet{TakeChoice{field, static_cast<int>(capacity)}}});
    }
    hands.views.chooser = std::move(list);
}

std::vector<Hint> AppealForm::hints(const Keymap& keys) const {
    const FieldKind kind = form_.fields.empty() ? FieldKind::text : form_.fields[form_.cursor].kind;
    const std::string take = keys.label(Action::take);
    std::vector<Hint> list{{{tr("Up"), tr("Down")}, tr("another field")}};
    if (kind == FieldKind::text) list.push_back({{take}, tr("write it, or type at once")});
    if (kind == FieldKind::choice) list.push_back({{take}, tr("choose")});
    if (kind == FieldKind::toggle) list.push_back({{take}, tr("yes or no")});
    if (kind == FieldKind::act) list.push_back({{take}, form_.fields[form_.cursor].label});
    list.push_back({{keys.label(Action::let_go)}, tr("leave without it")});
    return list;
}

// --- lodging ---

void LodgingPage::begin() {
    number_.clear();
    by_.clear();
    point_.clear();
    station_.clear();
    round_.reset();
    capacity_ = meet::Capacity::coach;
    fee_paid_ = false;
    form_.cursor = 0;
}

void LodgingPage::begin(const meet::State& state, meet::RunId run) {
    begin();
    const auto stored = state.runs().find(run);
    if (stored == state.runs().end() || !stored->second.entry.valid()) return;
    const meet::Entry& entry = state.entries().at(stored->second.entry);
    number_ = state.athletes().at(entry.athlete).number;
    round_ = entry.round;
}

std::optional<meet::RoundId> LodgingPage::chosen_round(const meet::State& state) const {
    return round_ ? round_ : usual_filter(state).round;
}

const meet::Run* LodgingPage::run_of(const meet::State& state) const {
    const auto in = chosen_round(state);
    for (const auto& [id, entry] : state.entries())
        if (entry.round == in && state.athletes().at(entry.athlete).number == number_)
            return meet::latest_run(state, id);
    return nullptr;
}

base::Result<meet::Appeal> LodgingPage::appeal(const meet::State& state) const {
    const auto missing = [](std::string sentence) {
        return base::Error{base::Category::bad_input, std::move(sentence), ""};
    };
    if (number_.empty()) return missing(tr("Say which athlete it is about, by number."));
    const meet::Run* run = run_of(state);
    if (run == nullptr) {
        const auto in = chosen_round(state);
        return missing(tr("Nobody with number {} has run in {}.", number_,
                          in ? filter_words(state, {in, {}, {}}) : std::string(tr("this meet"))));
    }
    if (station_.empty()) return missing(tr("Say which station it is about."));
    return meet::Appeal{
        {}, run->id, station_, point_, by_, capacity_, review::now(), fee_paid_, meet::AppealStatus::lodged,
        ""};
}

std::vector<std::string> LodgingPage::obstacles(const meet::State& state) const {
    const auto made = appeal(state);
    if (!made) return {made.error().sentence.spoken()};
    std::vector<std::string> sentences;
    for (const meet::Refusal& refusal : meet::refusals(state, *made, review::utc_offset_minutes()))
        sentences.push_back(refusal.sentence.spoken());
    return sentences;
}

void LodgingPage::update(review::Session& session) {
    if (changes_ != session.changes()) stations_of_ = {};
    changes_ = session.changes();
    refresh(session.state());
}

void LodgingPage::refresh(const meet::State& state) {
    const meet::Run* run = run_of(state);
    const meet::RunId now = run != nullptr ? run->id : meet::RunId{};
    if (!now.valid() || now != stations_of_) {
        stations_.clear();
        stations_of_ = now;
        review::MeetCourses courses(state);
        const course::CourseBook* book = run != nullptr ? courses.of(*run) : nullptr;
        if (book != nullptr) stations_ = book->stations;
    }
    std::string name = station_;
    for (const course::Station& station : stations_)
        if (station.key == station_) name = station.name;
    const auto in = chosen_round(state);
    const std::string fee = state.rules().appeals.fee;
    complete_ = appeal(state).ok();
    obstacles_ = obstacles(state);
    form_.fields = {
        {FieldKind::text, tr("athlete's number"), number_, tr("as on the bib")},
        {FieldKind::choice, tr("round"), in ? filter_words(state, {in, {}, {}}) : "", ""},
        {FieldKind::choice, tr("station"), name,
         number_.empty() ? tr("the number comes first") : tr("choose one")},
        {FieldKind::text, tr("lodged by"), by_, tr("a name")},
        {FieldKind::choice, tr("as"), tr(meet::capacity_words(capacity_)), ""},
        {FieldKind::text, tr("what is asked"), point_, tr("one sentence; it is printed on the ruling sheet")},
        {FieldKind::toggle, fee.empty() ? tr("fee") : tr("fee of {}", fee),
         fee.empty() ? tr("none in this meet")
         : fee_paid_ ? tr("paid")
                     : tr("not paid"),
         ""},
        {FieldKind::act,
         obstacles_.empty() || !complete_ ? tr("lodge the appeal") : tr("write it down as refused"), "", ""}};
}

void LodgingPage::take_up(const MeetHands& hands, std::size_t field) {
    const meet::State& state = hands.session.state();
    switch (field) {
        case at_number:
        case at_by:
        case at_point:
            return write(hands, field, false);
        case at_round: {
            Chooser list;
            list.title = tr("Which round?");
            for (const auto& [id, one] : state.rounds())
                list.choices.push_back({filter_words(state, {id, {}, {}}), "",
                                        OfMeet{TakeChoice{field, static_cast<int>(id.value)}}});
            hands.views.chooser = std::move(list);
            return;
        }
        case at_station:
            return list_stations(hands);
        case at_capacity:
            return list_capacities(hands, field, capacity_);
        case at_fee:
            fee_paid_ = !fee_paid_ && !state.rules().appeals.fee.empty();
            return refresh(state);
        default:
            return lodge(hands);
    }
}

void LodgingPage::list_stations(const MeetHands& hands) const {
    if (stations_.empty())
        return hands.say(obstacles_.empty() ? tr("There is no station.") : obstacles_.front());
    const meet::Run* run = run_of(hands.session.state());
    Chooser list;
    list.title = tr("Which station is it about?");
    list.typed = stations_.size() > 9;
    for (std::size_t i = 0; i < stations_.size(); ++i) {
        const meet::FloorCall* call =
            run != nullptr ? meet::call_at(hands.session.state(), run->id, stations_[i].key) : nullptr;
        const char* words = call == nullptr                   ? tr("no call")
                            : call->call == meet::Call::clear ? tr("clear")
                                                              : tr("fail");
        if (call != nullptr && call->call == meet::Call::fail) list.cursor = static_cast<int>(i);
        list.choices.push_back(
            {stations_[i].name, words, OfMeet{TakeChoice{at_station, static_cast<int>(i)}}});
    }
    hands.views.chooser = std::move(list);
}

void LodgingPage::choose(std::size_t field, int value) {
    if (field == at_round) round_ = meet::RoundId{value};
    if (field == at_station && static_cast<std::size_t>(value) < stations_.size())
        station_ = stations_[static_cast<std::size_t>(value)].key;
    if (field == at_capacity) capacity_ = static_cast<meet::Capacity>(value);
}

void LodgingPage::kept(const MeetHands& hands, const std::string& line) {
    const std::string text(base::trimmed(line));
    if (written_ == at_number) {
        if (text != number_) station_.clear();
        number_ = text;
    }
    if (written_ == at_by) by_ = text;
    if (written_ == at_point) point_ = text;
    form_.cursor = written_;
    form_.move(1);
    refresh(hands.session.state());
}

void LodgingPage::lodge(const MeetHands& hands) {
    const auto made = appeal(hands.session.state());
    if (!made) return hands.complain(made.error());
    auto lodging = review::lodging(hands.session.state(), *made);
    if (!lodging) return hands.complain(lodging.error());
    if (!hands.apply(lodging->change)) return;
    hands.say(tr("Appeal {} is {}.", lodging->id.value,
                 lodging->refusals.empty() ? tr("lodged") : tr("written down as refused")));
    begin();
    hands.show(MeetPageKind::appeals);
}

std::optional<meet::WallTime> LodgingPage::next_change() const {
    // The deadline may pass while the form is filled in.
    return meet::WallTime{review::now().ms + 10'000};
}

}  // namespace plumbmark::desk
