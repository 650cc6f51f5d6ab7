// Ties by sound: the job and its outcome, and what the desk does with them.
#include "desk/internal/ties_desk.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

using base::Category;
using base::Error;

base::Result<void> TiesDesk::ask(const review::Session& session, double metres) {
    stop();
    const auto& clips = session.clips();
    if (clips.size() < 2)
        return Error{
            Category::bad_input,
            tr("This run has one clip, and a tie needs two. Drop another onto the window to add it."), ""};
    const bool reading =
        std::any_of(clips.begin(), clips.end(), [](const auto& clip) { return !clip.table && !clip.error; });
    if (reading)
        return Error{Category::busy,
                     tr("The run's clips are still being read. Ask again when they are there."), ""};
    run_ = session.run();
    metres_ = metres;
    job_ = std::make_unique<review::SoundTieJob>(review::clips_to_tie(session), session.clip(), wake_);
    return {};
}

void TiesDesk::stop() {
    job_.reset();
    found_.clear();
}

std::string TiesDesk::progress_words() const {
    return job_ ? tr("listening {} %", static_cast<int>(job_->progress() * 100)) : std::string();
}

std::optional<TiesDesk::Found> TiesDesk::take() {
    if (!job_) return std::nullopt;
    auto answer = job_->take();
    if (!answer) return std::nullopt;
    job_.reset();
    if (!*answer) return Found{answer->error().spoken(), false};
    found_ = std::move(**answer);
    Found found;
    for (const review::TieProposal& proposal : found_) {
        const bool tied = !proposal.error && proposal.outcome.tie;
        found.to_keep |= tied;
        found.words += (found.words.empty() ? "" : " ") + review::tie_words(proposal, metres_).spoken();
        if (tied) found.words += ".";
    }
    return found;
}

base::Result<meet::Change> TiesDesk::kept(const review::Session& session) const {
    return review::kept_ties(session.state(), run_, found_, metres_);
}

// --- the desk ---

void DeskCore::write_tie() {
    if (session_->clips().size() < 2)
        return say(tr(
            "This run has one clip: there is nothing to tie it to. Drop another onto the window to add it."));
    TextEntry entry;
    entry.kind = EntryKind::tie;
    entry.title = tr("By how many metres may the cameras' distances to what they hear differ?");
    entry.hint = tr("Sound takes 2.9 ms a metre: the tie is as uncertain as that. 30 is a large hall.");
    entry.put(fmt::format("{}", review::kUsualMetres));
    views_.entry = entry;
}

void DeskCore::keep_tie(const std::string& text) {
    const auto metres = review::read_metres(std::string(base::trimmed(text)));
    if (!metres) return complain(metres.error());
    if (const auto asked = ties_.ask(*session_, *metres); !asked) return complain(asked.error());
    say(tr("Listening to the run's clips. {} stops it.", keys_.label(Action::let_go)));
}

void DeskCore::go_on_with_ties() {
    const auto found = ties_.take();
    views_.listening = ties_.progress_words();
    if (!found) return;
    if (!found->to_keep) return say(found->words);
    views_.offer =
        Offer{tr("{} {} keeps it as a moment that both show.", found->words, keys_.label(Action::take)),
              KeepTies{}};
}

void DeskCore::keep_ties() {
    const auto change = ties_.kept(*session_);
    if (!change) return complain(change.error());
    const auto done = session_->apply(*change);
    if (!done) return complain(done.error());
    say(tr_n("{} moment marked.", "{} moments marked.", std::ssize(change->edits)));
}

bool DeskCore::stop_listening() {
    if (!ties_.listening()) return false;
    ties_.stop();
    views_.listening.clear();
    say(tr("Listening was stopped; nothing was tied."));
    return true;
}

}  // namespace plumbmark::desk
