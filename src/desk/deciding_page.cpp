// The form that decides an appeal. The ruling is that of the run's review and cannot be typed.
#include <fmt/format.h>

#include "base/text.h"
#include "desk/internal/appeals_page.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void DecidingPage::begin(review::Session& session, meet::AppealId appeal) {
    const auto stored = session.state().appeals().find(appeal);
    if (stored == session.state().appeals().end()) return;
    if (appeal != appeal_) {
        reason_.clear();
        for (meet::Signature& signature : signatures_)
            signature = {"", meet::Capacity::head_judge};
        signatures_[1].capacity = meet::Capacity::jury;
        form_.cursor = 0;
    }
    appeal_ = appeal;
    ruling_.reset();
    moves_.reset();
    asked_.reset();
    if (session.run() != stored->second.run) session.select_run(stored->second.run);
}

void DecidingPage::update(review::Session& session) {
    const auto appeal = session.state().appeals().find(appeal_);
    if (appeal == session.state().appeals().end()) return;
    if (session.run() != appeal->second.run) session.select_run(appeal->second.run);
    auto ruling = review::appeal_ruling(session, appeal->second);
    if (!ruling && ruling.error().category == base::Category::busy)
        ruling_.reset();
    else
        ruling_ = std::move(ruling);
    ask_effect(session);
    if (auto answer = effect_.take(); answer && answer->first == question_)
        moves_ = std::move(answer->second);
    refresh(session.state());
}

void DecidingPage::ask_effect(const review::Session& session) {
    if (!ruling_ || !ruling_->ok()) {
        asked_.reset();
        moves_.reset();
        return;
    }
    const auto now = std::pair(session.changes(), (*ruling_)->verdict);
    if (asked_ == now) return;
    asked_ = now;
    moves_.reset();
    // Who signs changes nothing in the standings; a decision has to be signed by somebody, though.
    auto decision = review::decision_by(session.state(), appeal_, (*ruling_)->verdict, "",
                                        {{"not signed yet", meet::Capacity::head_judge}});
    if (!decision) return;
    effect_.ask(++question_, [state = session.state(), decision = *decision](const auto& stopped) {
        const base::Speaking in_the_windows_language;
        return review::effect_on_standings(state, {"decide an appeal", {{std::nullopt, decision}}, 0},
                                           stopped);
    });
}

base::Result<meet::Decision> DecidingPage::decision(const meet::State& state) const {
    if (!ruling_) return base::Error{base::Category::busy, tr("The ruling is still being reached."), ""};
    if (!ruling_->ok()) return ruling_->error();
    std::vector<meet::Signature> signatures;
    for (const meet::Signature& signature : signatures_)
        if (!signature.name.empty()) signatures.push_back(signature);
    return review::decision_by(state, appeal_, (*ruling_)->verdict,
                               reason_.empty() ? (*ruling_)->sentence.english() : reason_, signatures);
}

void DecidingPage::refresh(const meet::State& state) {
    const bool two = state.rules().appeals.signatures == 2;
    const std::string sentence = ruling_ && ruling_->ok() ? (*ruling_)->sentence.spoken() : "";
    form_.fields = {
        {FieldKind::text, tr("signed by"), signatures_[0].name, tr("who decides")},
        {FieldKind::choice, tr("as"), tr(meet::capacity_words(signatures_[0].capacity)), ""},
        {FieldKind::text, tr("and by"), signatures_[1].name,
         two ? tr("this meet asks for two signatures") : tr("nobody else is needed")},
        {FieldKind::choice, tr("as"), tr(meet::capacity_words(signatures_[1].capacity)), ""},
        {FieldKind::text, tr("reason"), reason_, sentence.empty() ? tr("in a sentence") : sentence},
        {FieldKind::act, tr("decide the appeal"), "", ""}};
}

void DecidingPage::take_up(const MeetHands& hands, std::size_t field) {
    switch (field) {
        case at_first_name:
        case at_second_name:
        case at_reason:
            return write(hands, field, false);
        case at_first_capacity:
        case at_second_capacity:
            return list_capacities(hands, field, signatures_[field == at_second_capacity ? 1 : 0].capacity);
        default:
            return decide(hands);
    }
}

void DecidingPage::choose(std::size_t field, int value) {
    if (field == at_first_capacity) signatures_[0].capacity = static_cast<meet::Capacity>(value);
    if (field == at_second_capacity) signatures_[1].capacity = static_cast<meet::Capacity>(value);
}

void DecidingPage::kept(const MeetHands& hands, const std::string& line) {
    const std::string text(base::trimmed(line));
    if (written_ == at_first_name) signatures_[0].name = text;
    if (written_ == at_second_name) signatures_[1].name = text;
    if (written_ == at_reason) reason_ = text;
    form_.cursor = written_;
    form_.move(1);
    refresh(hands.session.state());
}

void DecidingPage::decide(const MeetHands& hands) {
    const meet::State& state = hands.session.state();
    const auto made = decision(state);
    if (!made) return hands.complain(made.error());
    if (const auto objection = meet::objection(state, *made))
        return hands.complain({base::Category::bad_input, *objection, ""});
    // What it does is shown before it is done, and never done unseen.
    if (!moves_) return hands.say(tr("Its effect on the standings is still being worked out."));
    if (!hands.apply(meet::Change{base::to_translate("decide an appeal"), {{std::nullopt, *made}}, 0}))
        return;
    hands.say(tr("Appeal {} is decided. {} takes it back.", appeal_.value, hands.keys.label(Action::undo)));
    hands.show(MeetPageKind::appeals);
}

std::string DecidingPage::title() const {
    return moves_ ? tr("decide appeal {}", appeal_.value)
                  : tr("decide appeal {} · working out", appeal_.value);
}

}  // namespace plumbmark::desk
