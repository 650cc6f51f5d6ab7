// The queue of appeals: what its keys do.
#include "desk/internal/appeals_page.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void AppealsPage::update(review::Session& session) {
    if (made_ && changes_ == session.changes()) return;
    const meet::AppealId before = chosen();
    review::MeetCourses courses(session.state());
    rows_ = appeal_rows(session.state(), courses);
    changes_ = session.changes();
    made_ = true;
    for (std::size_t i = 0; i < rows_.size(); ++i)
        if (rows_[i].appeal == before) cursor_ = i;
    cursor_ = std::min(cursor_, rows_.empty() ? 0 : rows_.size() - 1);
}

meet::AppealId AppealsPage::chosen() const {
    return cursor_ < rows_.size() ? rows_[cursor_].appeal : meet::AppealId{};
}

bool AppealsPage::key(const MeetHands& hands, const MeetKey& pressed) {
    const auto move = [&](std::ptrdiff_t by) {
        const auto last = std::max<std::ptrdiff_t>(0, std::ssize(rows_) - 1);
        cursor_ = static_cast<std::size_t>(
            std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(cursor_) + by, 0, last));
        return scroll_to_cursor_ = true;
    };
    if (pressed.mods == 0) {
        switch (pressed.key) {
            case key_down:
                return move(1);
            case key_up:
                return move(-1);
            case key_page_down:
                return move(10);
            case key_page_up:
                return move(-10);
            case key_home:
                return move(-std::ssize(rows_));
            case key_end:
                return move(std::ssize(rows_));
            default:
                break;
        }
    }
    return pressed.action && act(hands, *pressed.action);
}

bool AppealsPage::act(const MeetHands& hands, Action action) {
    if (action == Action::lodge_appeal) return hands.show(MeetPageKind::lodging), true;
    const bool about_one = action == Action::review_run || action == Action::decide_appeal ||
                           action == Action::withdraw_appeal || action == Action::take;
    if (!about_one) return false;
    if (cursor_ >= rows_.size())
        return hands.say(
                   tr("There is no appeal yet. {} lodges one.", hands.keys.label(Action::lodge_appeal))),
               true;
    const AppealRow& row = rows_[cursor_];
    if (action == Action::review_run || action == Action::take) return review(hands, row), true;
    if (!row.waits) return hands.say(tr("Appeal {} does not wait any more.", row.appeal.value)), true;
    if (action == Action::decide_appeal) return hands.show(MeetPageKind::deciding), true;
    asked_ = row.appeal;
    hands.write(tr("Appeal {} is withdrawn: why?", row.appeal.value), tr("May stay empty."), "");
    return true;
}

void AppealsPage::review(const MeetHands& hands, const AppealRow& row) const {
    const meet::Appeal& appeal = hands.session.state().appeals().at(row.appeal);
    if (row.waits && !hands.session.read_only() &&
        !hands.apply(review::opening_for_review(hands.session.state(), appeal)))
        return;
    hands.commands.add(OfMeet{ReviewRun{row.run}});
}

void AppealsPage::kept(const MeetHands& hands, const std::string& line) {
    hands.apply(review::withdrawal(hands.session.state(), asked_, std::string(base::trimmed(line))));
}

void AppealsPage::carry_out(const MeetHands&, const MeetCommand& command) {
    if (const auto* line = std::get_if<TakeLine>(&command)) cursor_ = line->line;
}

std::vector<Hint> AppealsPage::hints(const Keymap& keys) const {
    std::vector<Hint> list;
    const bool waits = cursor_ < rows_.size() && rows_[cursor_].waits;
    if (!rows_.empty()) list.push_back({{keys.label(Action::review_run)}, tr("review its run")});
    if (waits) list.push_back({{keys.label(Action::decide_appeal)}, tr("decide it")});
    if (waits) list.push_back({{keys.label(Action::withdraw_appeal)}, tr("withdraw it")});
    list.push_back({{keys.label(Action::lodge_appeal)}, tr("lodge an appeal")});
    list.push_back({{keys.label(Action::meet)}, tr("back to the run")});
    list.push_back({{keys.label(Action::trials)}, tr("the trials")});
    list.push_back({{keys.label(Action::help)}, tr("all keys")});
    return list;
}

std::string AppealsPage::title() const {
    return cursor_ < rows_.size() ? tr("appeals · {}", rows_[cursor_].appeal.value) : tr("appeals");
}

std::optional<meet::WallTime> AppealsPage::next_change() const {
    const meet::WallTime now = review::now();
    for (const AppealRow& row : rows_)
        if (row.waits && row.deadline && row.deadline->ms > now.ms)
            return meet::WallTime{(now.ms / 1000 + 1) * 1000};
    return std::nullopt;
}

}  // namespace plumbmark::desk
