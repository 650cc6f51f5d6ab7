// Standings: what the keys of their page do.
#include "desk/internal/standings_page.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "base/worded.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void StandingsPage::update(review::Session& session) {
    if (!asked_ || changes_ != session.changes()) {
        changes_ = session.changes();
        asked_ = true;
        unsealed_ = review::unsealed_publications(session.state());
        last_seal_ = review::last_seal_words(session.state()).spoken();
        // Runs without an official time are ruled for it, which may take a while.
        job_.ask(changes_, [state = session.state()](const auto& stopped) {
            const base::Speaking in_the_windows_language;  // what it waits for, and what moved
            return review::standings_outlook(state, stopped);
        });
    }
    auto answer = job_.take();
    if (!answer) return;
    answered_ = answer->first;
    outlook_ = std::move(answer->second);
    tables_ = standings_rows(*outlook_, unsealed_);
    table_ = std::min(table_, tables_.size());
    move_line(0);
}

void StandingsPage::move_table(std::ptrdiff_t by) {
    table_ = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(table_) + by, 0, std::ssize(tables_)));
    line_ = 0;
    scroll_to_line_ = true;
}

void StandingsPage::move_line(std::ptrdiff_t by) {
    if (table_ == 0) return;
    const auto last = std::max<std::ptrdiff_t>(0, std::ssize(tables_[table_ - 1].rows) - 1);
    line_ = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(line_) + by, 0, last));
    scroll_to_line_ = true;
}

bool StandingsPage::key(const MeetHands& hands, const MeetKey& pressed) {
    const auto done = [](auto&& moved) {
        moved();
        return true;
    };
    // In the list of all tables up and down go through the tables, in a table through its lines.
    const auto vertical = [&](std::ptrdiff_t by) {
        return done([&] { table_ == 0 ? move_table(by > 0 ? 1 : 0) : move_line(by); });
    };
    if ((pressed.mods & ~kShift) == 0) {
        switch (pressed.key) {
            case key_down:
                return vertical(1);
            case key_up:
                return vertical(-1);
            case key_page_down:
                return vertical(15);
            case key_page_up:
                return vertical(-15);
            case key_home:
                return done([&] { move_line(-1'000'000); });
            case key_end:
                return done([&] { move_line(1'000'000); });
            case key_right:
                return done([&] { move_table(1); });
            case key_left:
                return done([&] { move_table(-1); });
            case key_tab:
                return done([&] { move_table((pressed.mods & kShift) != 0 ? -1 : 1); });
            default:
                break;
        }
    }
    return pressed.action && act(hands, *pressed.action);
}

bool StandingsPage::act(const MeetHands& hands, Action action) {
    switch (action) {
        case Action::announce:
        case Action::publish: {
            if (!outlook_ || outdated())
                return hands.say(tr("The standings are still being worked out; in a moment.")), true;
            official_ = action == Action::publish;
            note_.clear();
            const review::StandingsOutlook tables = chosen_tables();
            const bool moved = std::any_of(tables.tables.begin(), tables.tables.end(),
                                           [](const auto& table) { return table.last && !table.same; });
            if (!moved) return offer(hands, official_), true;
            hands.write(tr("Why do they differ from those given out before?"),
                        tr("It is kept with the publication; may stay empty."), "");
            return true;
        }
        case Action::seal:
            return sealing_.ask(hands, unsealed_.empty() ? meet::PublicationId{} : unsealed_.back()), true;
        case Action::let_go:
            return sealing_.stop(hands);
        case Action::review_run:
        case Action::take: {
            if (table_ == 0) return move_table(1), true;
            const auto& rows = tables_[table_ - 1].rows;
            if (line_ >= rows.size()) return true;
            if (rows[line_].run.valid())
                hands.commands.add(OfMeet{ReviewRun{rows[line_].run}});
            else
                hands.say(tr("Number {} has not run yet.", rows[line_].number));
            return true;
        }
        default:
            return false;
    }
}

review::StandingsOutlook StandingsPage::chosen_tables() const {
    if (table_ == 0) return *outlook_;
    const std::size_t at = table_ - 1;
    review::StandingsOutlook one;
    one.standings = {outlook_->standings[at]};
    one.tables = {outlook_->tables[at]};
    return one;
}

void StandingsPage::offer(const MeetHands& hands, bool official) {
    const auto giving = review::giving_out(hands.session.state(), chosen_tables(), official);
    if (giving.refusal) return hands.say(giving.refusal->spoken());
    const std::string what = base::listed_words(giving.tables).spoken();
    hands.views.offer =
        Offer{official ? tr("Give out as official: {}? Official results stay as they were given out; later "
                            "ones only follow them.",
                            what)
                       : tr("Announce: {}? From the first announcement on the time for appeals runs.", what),
              OfMeet{GiveOut{official}}};
}

void StandingsPage::kept(const MeetHands& hands, const std::string& line) {
    if (sealing_.writes()) return sealing_.kept(hands, line);
    note_ = std::string(base::trimmed(line));
    offer(hands, official_);
}

void StandingsPage::give_out(const MeetHands& hands, bool official) {
    if (!outlook_ || outdated())
        return hands.say(tr("Something changed meanwhile. Look at it and ask again."));
    const auto change = review::publication_of(hands.session.state(), chosen_tables().standings, official,
                                               review::now(), note_);
    if (!hands.apply(change)) return;
    hands.say(official ? tr("Given out as official.") : tr("Announced."));
    if (official) sealing_.ask(hands, hands.session.state().publications().rbegin()->first);
}

void StandingsPage::kept_secret(const MeetHands& hands, store::SecretText secret) {
    sealing_.kept_secret(hands, std::move(secret));
}

void StandingsPage::left_secret(const MeetHands& hands) {
    sealing_.left_secret(hands);
}

void StandingsPage::carry_out(const MeetHands& hands, const MeetCommand& command) {
    if (const auto* given = std::get_if<GiveOut>(&command)) return give_out(hands, given->official);
    if (std::holds_alternative<MakeKey>(command)) return sealing_.begin_key(hands);
    const auto* line = std::get_if<TakeLine>(&command);
    if (line == nullptr) return;
    // Column 0 is the list of tables.
    if (line->column == 0) {
        table_ = std::min(line->line, tables_.size());
        line_ = 0;
    } else {
        line_ = line->line;
    }
    scroll_to_line_ = true;
}

std::vector<Hint> StandingsPage::hints(const Keymap& keys) const {
    if (sealing_.busy()) return {{{keys.label(Action::let_go)}, tr("do not seal now")}};
    std::vector<Hint> list{{{tr("Left"), tr("Right")}, tr("another table")}};
    if (table_ > 0) list.push_back({{keys.label(Action::review_run)}, tr("review this run")});
    list.push_back({{keys.label(Action::announce)},
                    table_ == 0 ? tr("announce all tables") : tr("announce this table")});
    list.push_back({{keys.label(Action::publish)}, tr("give out as official")});
    if (!unsealed_.empty()) list.push_back({{keys.label(Action::seal)}, tr("seal")});
    list.push_back({{keys.label(Action::meet)}, tr("back to the run")});
    list.push_back({{keys.label(Action::trials)}, tr("the trials")});
    list.push_back({{keys.label(Action::help)}, tr("all keys")});
    return list;
}

std::string StandingsPage::title() const {
    const std::string state = sealing_.busy()           ? tr(" · sealing")
                              : !outlook_ || outdated() ? tr(" · working out")
                                                        : "";
    return tr("standings · {}{}",
              table_ == 0 ? std::string(tr_in("tables", "all")) : tables_[table_ - 1].name, state);
}

}  // namespace plumbmark::desk
