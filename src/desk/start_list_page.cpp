#include "desk/internal/start_list_page.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr meet::StartField kFields[] = {
    meet::StartField::number,    meet::StartField::name,     meet::StartField::first_name,
    meet::StartField::last_name, meet::StartField::club,     meet::StartField::division,
    meet::StartField::born,      meet::StartField::category, meet::StartField::consent,
    meet::StartField::heat,      meet::StartField::start,    meet::StartField::lane};

}  // namespace

void StartListPage::take(std::string file, base::Table table) {
    file_ = std::move(file);
    table_ = std::move(table);
    columns_ = meet::guessed_columns(table_.header);
    form_ = {};
    made_ = false;
}

void StartListPage::update(review::Session& session) {
    if (made_ && changes_ == session.changes()) return;
    changes_ = session.changes();
    refresh(session.state());
}

void StartListPage::refresh(const meet::State& state) {
    made_ = true;
    if (!has_list()) return;
    round_ = review::round_for(state, round_name_);
    list_ = meet::read_start_list(table_, columns_, state, round_.id);
    const bool comes = !state.rounds().contains(round_.id);
    form_.fields = {{FieldKind::choice, tr("for the round"),
                     comes ? tr("{} (a new one)", round_words(round_)) : round_words(round_), ""}};
    for (std::size_t i = 0; i < table_.header.size(); ++i)
        form_.fields.push_back(
            {FieldKind::choice, table_.header[i].empty() ? tr("(no name)") : table_.header[i],
             columns_[i] ? tr(std::string(meet::start_field_words(*columns_[i]))) : std::string(),
             tr("not taken: {}", example(i))});
    const std::string who = tr_n("{} athlete", "{} athletes", std::ssize(list_.rows));
    form_.fields.push_back(
        {FieldKind::act, list_.good() ? tr("enter {}", who) : tr("nothing can be entered yet"), "", ""});
    form_.cursor = std::min(form_.cursor, form_.fields.size() - 1);
}

std::string StartListPage::example(std::size_t column) const {
    for (const base::TableRow& row : table_.rows)
        if (column < row.fields.size() && !row.fields[column].empty()) return row.fields[column] + " ...";
    return tr("empty");
}

bool StartListPage::key(const MeetHands& hands, const MeetKey& pressed) {
    if (pressed.key == key_page_down || pressed.key == key_page_up) {
        scroll_ += pressed.key == key_page_down ? 10.0F : -10.0F;
        return true;
    }
    switch (form_.press(pressed.key, pressed.mods)) {
        case FormAsk::moved:
            return true;
        case FormAsk::take_up:
        case FormAsk::write_on:
            return take_up(hands, form_.cursor), true;
        case FormAsk::nothing:
            break;
    }
    if (pressed.action == Action::let_go) return hands.show(MeetPageKind::entry), true;
    return false;
}

void StartListPage::take_up(const MeetHands& hands, std::size_t field) {
    if (field == 0) return list_rounds(hands);
    if (field <= table_.header.size()) return list_fields(hands, field - 1);
    enter(hands);
}

void StartListPage::list_rounds(const MeetHands& hands) const {
    Chooser list;
    list.title = tr("For which round is this list?");
    for (const auto& [id, round] : hands.session.state().rounds())
        list.choices.push_back({round_words(round), "", OfMeet{TakeRound{id}}});
    list.choices.push_back({tr("another round"), tr("you write its name"), OfMeet{TakeRound{std::nullopt}}});
    hands.views.chooser = std::move(list);
}

void StartListPage::list_fields(const MeetHands& hands, std::size_t column) const {
    Chooser list;
    list.title = tr("What is the column '{}'? {}", table_.header[column], example(column));
    list.typed = true;
    list.choices.push_back({tr("not taken"), "", OfMeet{TakeColumn{column, std::nullopt}}});
    for (const meet::StartField field : kFields) {
        const auto other = std::find(columns_.begin(), columns_.end(), std::optional(field));
        const bool own = columns_[column] == field;
        if (own) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back(
            {tr(meet::start_field_words(field)),
             own ? tr("as it is")
             : other != columns_.end()
                 ? tr("now '{}'", table_.header[static_cast<std::size_t>(other - columns_.begin())])
                 : "",
             OfMeet{TakeColumn{column, field}}});
    }
    hands.views.chooser = std::move(list);
}

void StartListPage::carry_out(const MeetHands& hands, const MeetCommand& command) {
    if (const auto* line = std::get_if<TakeLine>(&command)) {
        form_.cursor = std::min(line->line, form_.fields.size() - 1);
        return take_up(hands, form_.cursor);
    }
    if (const auto* column = std::get_if<TakeColumn>(&command)) {
        // Each field once: the column that had it gives it up.
        for (auto& other : columns_)
            if (column->field && other == column->field) other.reset();
        columns_[column->column] = column->field;
        form_.move(1);
    } else if (const auto* round = std::get_if<TakeRound>(&command)) {
        if (!round->round)
            return hands.write(tr("What is the round called?"), tr("Qualifying, Final ..."), "");
        round_name_ = hands.session.state().rounds().at(*round->round).name;
        form_.move(1);
    }
    refresh(hands.session.state());
}

void StartListPage::kept(const MeetHands& hands, const std::string& line) {
    round_name_ = std::string(base::trimmed(line));
    form_.move(1);
    refresh(hands.session.state());
}

void StartListPage::enter(const MeetHands& hands) {
    if (!list_.good() || list_.rows.empty())
        return hands.say(list_.rows.empty() && list_.good()
                             ? tr("The list has no athlete.")
                             : tr("Nothing is entered while something is wrong: mend the list, or say what "
                                  "its columns are."));
    const std::string who = tr_n("{} athlete", "{} athletes", std::ssize(list_.rows));
    if (!hands.apply(review::start_list_change(hands.session.state(), list_, round_))) return;
    hands.say(tr("{} entered in {}. {} takes it back.", who, round_.name, hands.keys.label(Action::undo)));
    table_ = {};
    form_ = {};
    hands.show(MeetPageKind::entry);
}

std::vector<Hint> StartListPage::hints(const Keymap& keys) const {
    if (!has_list())
        return {{{keys.label(Action::start_list)}, tr("choose a list")},
                {{keys.label(Action::help)}, tr("all keys")}};
    const bool acts = form_.cursor + 1 == form_.fields.size();
    return {{{tr("Up"), tr("Down")}, tr("another column")},
            {{keys.label(Action::take)}, acts ? form_.fields.back().label : tr("say what it is")},
            {{tr("PageDown")}, tr("more of the list")},
            {{keys.label(Action::start_list)}, tr("another file")},
            {{keys.label(Action::let_go)}, tr("leave it")}};
}

std::string StartListPage::title() const {
    return has_list() ? tr("start list · {}", file_) : tr("start list");
}

}  // namespace plumbmark::desk
