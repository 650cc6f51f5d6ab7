#include "desk/internal/sealing_desk.h"

#include <fmt/format.h>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

using review::SealingStep;

std::string later_words(const Keymap& keys) {
    return tr("It can be sealed later: {}.", keys.label(Action::seal));
}

base::Error with_words(const char* before, const base::Error& error) {
    return {error.category, before + error.sentence.spoken(), error.where};
}

}  // namespace

void SealingDesk::ask(const MeetHands& hands, meet::PublicationId publication) {
    if (busy()) return hands.say(tr("A seal is being made already."));
    outcome_.clear();
    publication_ = publication;
    const auto folder = store::key_folder();
    if (!folder) return hands.complain(with_words(tr("Nothing is sealed: "), folder.error()));
    const auto key = review::key_in_force(hands.session.state());
    wish_ = {};
    wish_.folder = *folder;
    if (!key) {
        hands.views.offer =
            Offer{tr("The results are not sealed, as this meet has no signing key yet. Make one now? A seal "
                     "shows everybody that nothing before it was changed since."),
                  OfMeet{MakeKey{}}};
        return;
    }
    if (const auto here = review::check_key_is_here(*key, *folder); !here)
        return hands.complain(with_words(tr("The results are not sealed: "), here.error()));
    key_ = *key;
    ask_passphrase(hands);
}

void SealingDesk::ask_passphrase(const MeetHands& hands, const std::string& before) {
    asked_ = Asked::passphrase;
    SecretEntry entry;
    entry.title = tr("Passphrase of the key of {}:", holder_words(key_));
    entry.problem = before;
    entry.hint = tr("It seals the record up to now, with what was given out.");
    hands.views.secret = std::move(entry);
}

void SealingDesk::begin_key(const MeetHands& hands) {
    asked_ = Asked::holder;
    hands.write(tr("Who signs with the new key, as head judge? The name of its holder"),
                tr("Everybody who checks a seal reads it."), wish_.holder);
}

void SealingDesk::kept(const MeetHands& hands, const std::string& holder) {
    asked_ = Asked::nothing;
    wish_.holder = std::string(base::trimmed(holder));
    if (const auto good = review::check_new_key(hands.session.state(), wish_); !good)
        return hands.complain(good.error());
    ask_new_passphrase(hands);
}

void SealingDesk::ask_new_passphrase(const MeetHands& hands, const std::string& before) {
    asked_ = Asked::first_time;
    SecretEntry entry;
    entry.title = tr("A passphrase for the new key, {} characters or more:", store::kShortestPassphrase);
    entry.problem = before;
    entry.hint = tr("It is asked for with every seal, and kept nowhere.");
    hands.views.secret = std::move(entry);
}

void SealingDesk::kept_secret(const MeetHands& hands, store::SecretText secret) {
    const Asked asked = std::exchange(asked_, Asked::nothing);
    if (asked == Asked::once_more) {
        const bool same = secret == first_;
        first_.clear();
        if (!same) return ask_new_passphrase(hands, tr("The two passphrases differ; nothing was changed."));
        return job_.begin_with_new_key(wish_, std::move(secret), publication_);
    }
    if (secret.empty()) {
        hands.say(tr("No passphrase was given, so nothing was signed. {}", later_words(hands.keys)));
        return;
    }
    if (asked == Asked::passphrase) return job_.begin(key_, wish_.folder, std::move(secret), publication_);
    if (const auto good = store::check_new_passphrase(secret.text()); !good)
        return ask_new_passphrase(hands, good.error().sentence.spoken());
    first_ = std::move(secret);
    asked_ = Asked::once_more;
    SecretEntry entry;
    entry.title = tr("The same once more:");
    hands.views.secret = std::move(entry);
}

void SealingDesk::left_secret(const MeetHands& hands) {
    asked_ = Asked::nothing;
    first_.clear();
    hands.say(tr("Nothing was sealed. {}", later_words(hands.keys)));
}

bool SealingDesk::stop(const MeetHands& hands) {
    if (!busy() || job_.step() == SealingStep::writing) return false;
    job_.stop();
    hands.say(tr("Nothing was sealed. {}", later_words(hands.keys)));
    return true;
}

void SealingDesk::go_on(const MeetHands& hands, bool here) {
    if (!busy()) return;
    const auto outcome = job_.poll(hands.session);
    if (const auto key = job_.take_new_key()) {
        outcome_.clear();
        for (const base::Sentence& sentence : review::new_key_words(*key, wish_.folder))
            outcome_.push_back(sentence.spoken());
    }
    if (outcome) take_outcome(hands, *outcome, here);
}

void SealingDesk::take_outcome(const MeetHands& hands, const base::Result<review::SealMade>& outcome,
                               bool here) {
    if (outcome) {
        hands.say(tr("The record is sealed up to row {}.", outcome->seal.row));
        const std::string words =
            outcome->fresh
                ? tr("The record is sealed up to row {}: {}", outcome->seal.row, outcome->line)
                : tr("Nothing was written since row {} was sealed: {}", outcome->seal.row, outcome->line);
        outcome_.insert(outcome_.begin(), words);
        outcome_.insert(outcome_.begin() + 1,
                        tr("Print this line on the results, or keep it where the meet file is not."));
        return;
    }
    const base::Error& error = outcome.error();
    const bool free = !hands.views.entry && !hands.views.chooser && !hands.views.secret;
    // Another passphrase may be the right one; whoever went elsewhere meanwhile is not interrupted.
    const bool passphrase = job_.ended_at() == SealingStep::opening_key;
    if (here && free && passphrase && error.category == base::Category::bad_input)
        return ask_passphrase(hands, error.sentence.spoken());
    hands.complain(with_words(tr("NOT sealed: "), error));
}

std::string SealingDesk::progress_words() const {
    switch (job_.step()) {
        case SealingStep::nothing:
            break;
        case SealingStep::opening_key:
            return tr("Trying the passphrase; it takes about a second, so that guessing takes ages.");
        case SealingStep::making_key:
            return tr("Making the key; it takes about a second, so that guessing its passphrase takes ages.");
        case SealingStep::saving:
            return tr("Waiting until everything is on the disk.");
        case SealingStep::signing:
            return tr("Signing the record.");
        case SealingStep::writing:
            return tr("Writing the seal.");
    }
    return {};
}

float SealingDesk::progress() const {
    return static_cast<float>(std::max(1, static_cast<int>(job_.step()) - 1)) / 5.0F;
}

}  // namespace plumbmark::desk
