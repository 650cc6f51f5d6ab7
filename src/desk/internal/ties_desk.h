// Tying the run's clips by sound, from the desk: what is asked, how far it is, and what is offered.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "review/sound_ties.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class TiesDesk {
  public:
    explicit TiesDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Compares the session's clip to the run's others. Error, and nothing begins: there is no other clip, or
    /// some are still being read.
    [[nodiscard]] base::Result<void> ask(const review::Session& session, double metres);
    [[nodiscard]] bool listening() const { return job_ != nullptr; }
    /// Lets go what is under way, and what was found.
    void stop();

    /// For the top bar: "listening 42 %"; empty while nothing is under way.
    [[nodiscard]] std::string progress_words() const;
    /// Once, when it is done: what to say, and whether keeping it is to be offered.
    struct Found {
        std::string words;
        bool to_keep = false;
    };
    [[nodiscard]] std::optional<Found> take();
    /// The marks of what was found last, as one change. Errors as review::kept_ties.
    [[nodiscard]] base::Result<meet::Change> kept(const review::Session& session) const;

  private:
    std::function<void()> wake_;
    std::unique_ptr<review::SoundTieJob> job_;
    std::vector<review::TieProposal> found_;
    meet::RunId run_;
    double metres_ = review::kUsualMetres;
};

}  // namespace plumbmark::desk
