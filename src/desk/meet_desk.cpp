#include "desk/internal/meet_desk.h"

#include <fmt/format.h>

#include "base/text.h"
#include "desk/internal/appeals_page.h"
#include "desk/internal/entry_page.h"
#include "desk/internal/say.h"
#include "desk/internal/standings_page.h"
#include "desk/internal/start_list_page.h"
#include "desk/internal/start_page.h"
#include "meet/appeals.h"

namespace plumbmark::desk {

void MeetHands::write(const std::string& title, const std::string& hint, const std::string& text) const {
    TextEntry entry;
    entry.kind = EntryKind::meet;
    entry.title = title;
    entry.hint = hint;
    entry.put(text);
    views.entry = entry;
}

bool MeetHands::apply(const base::Result<meet::Change>& change) const {
    if (!change) return complain(change.error()), false;
    if (change->edits.empty()) return true;
    const auto done = session.apply(*change);
    if (!done) complain(done.error());
    return done.ok();
}

MeetDesk::MeetDesk(std::function<void()> wake) {
    pages_[MeetPageKind::start] = std::make_unique<StartPage>();
    pages_[MeetPageKind::entry] = std::make_unique<EntryPage>();
    pages_[MeetPageKind::appeals] = std::make_unique<AppealsPage>();
    pages_[MeetPageKind::lodging] = std::make_unique<LodgingPage>();
    pages_[MeetPageKind::deciding] = std::make_unique<DecidingPage>(wake);
    pages_[MeetPageKind::standings] = std::make_unique<StandingsPage>(wake);
    pages_[MeetPageKind::start_list] = std::make_unique<StartListPage>();
}

void MeetDesk::update(review::Session& session) {
    if (!counted_ || changes_ != session.changes()) {
        waiting_ = meet::waiting_appeals(session.state()).size();
        changes_ = session.changes();
        counted_ = true;
    }
    page().update(session);
}

void MeetDesk::say_anew() {
    for (const auto& [kind, page] : pages_)
        page->say_anew();
}

void MeetDesk::show(review::Session& session, MeetPageKind page_wanted) {
    const bool of_athletes = page_wanted == MeetPageKind::entry || page_wanted == MeetPageKind::standings;
    if (of_athletes && session.state().entries().empty()) page_wanted = MeetPageKind::start;
    if (page_wanted == MeetPageKind::lodging && shown_ == MeetPageKind::entry)
        page_as<LodgingPage>(page_wanted)
            .begin(session.state(), page_as<EntryPage>(MeetPageKind::entry).run());
    if (page_wanted == MeetPageKind::deciding)
        page_as<DecidingPage>(page_wanted)
            .begin(session, page_as<AppealsPage>(MeetPageKind::appeals).chosen());
    shown_ = page_wanted;
    update(session);
}

void MeetDesk::take_list(const MeetHands& hands, const TakeListFile& chosen) {
    auto table = review::read_list_file(chosen.file.string());
    if (!table) return hands.complain(table.error());
    if (!review::lists_divisions(*table)) {
        page_as<StartListPage>(MeetPageKind::start_list)
            .take(chosen.file.filename().string(), std::move(*table));
        return show(hands.session, MeetPageKind::start_list);
    }
    auto change = review::divisions_change(*table, hands.session.state());
    if (!change)
        return hands.complain({change.error().category,
                               base::Sentence(change.error().text(), change.error().spoken()),
                               chosen.file.filename().string()});
    const std::int64_t many = std::ssize(change->edits);
    if (hands.apply(change))
        hands.say(tr_n("{} division was taken in.", "{} divisions were taken in.", many));
}

void MeetDesk::enter(review::Session& session) {
    show(session, shown_ == MeetPageKind::start ? MeetPageKind::entry : shown_);
}

bool MeetDesk::key(const MeetHands& hands, const MeetKey& pressed) {
    update(hands.session);
    if (page().key(hands, pressed)) return true;
    if (!pressed.action) return false;
    switch (*pressed.action) {
        case Action::floor_entry:
            return show(hands.session, MeetPageKind::entry), true;
        case Action::appeals:
            return show(hands.session, MeetPageKind::appeals), true;
        case Action::standings:
            return show(hands.session, MeetPageKind::standings), true;
        case Action::lodge_appeal:
            return show(hands.session, MeetPageKind::lodging), true;
        default:
            return false;
    }
}

void MeetDesk::text(const MeetHands& hands, char32_t character) {
    update(hands.session);
    (void)page().text(hands, character);
}

void MeetDesk::kept(const MeetHands& hands, const std::string& line) {
    update(hands.session);
    page().kept(hands, line);
    update(hands.session);
}

void MeetDesk::kept_secret(const MeetHands& hands, store::SecretText secret) {
    page().kept_secret(hands, std::move(secret));
    update(hands.session);
}

void MeetDesk::left_secret(const MeetHands& hands) {
    page().left_secret(hands);
}

void MeetDesk::go_on(const MeetHands& hands, bool open) {
    for (const auto& [kind, page] : pages_)
        page->go_on(hands, open && kind == shown_);
}

void MeetDesk::carry_out(const MeetHands& hands, const MeetCommand& command) {
    if (const auto* wanted = std::get_if<ShowPage>(&command)) return show(hands.session, wanted->page);
    if (const auto* list = std::get_if<TakeListFile>(&command)) return take_list(hands, *list);
    update(hands.session);
    page().carry_out(hands, command);
    update(hands.session);
}

void MeetDesk::draw(const Scene& scene, const Box& box) {
    page().draw(scene, box);
}

std::vector<Hint> MeetDesk::hints(const Keymap& keys) const {
    return page().hints(keys);
}

std::string MeetDesk::lead(const review::Session& session) const {
    return page().lead(session);
}

std::string MeetDesk::title() const {
    return page().title();
}

std::optional<meet::WallTime> MeetDesk::next_change() const {
    return page().next_change();
}

}  // namespace plumbmark::desk
