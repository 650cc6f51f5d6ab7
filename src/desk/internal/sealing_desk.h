// Sealing from the desk: asks for what it takes, line by line, and says how it went.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "desk/internal/meet_page.h"
#include "review/sealing_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class SealingDesk {
  public:
    explicit SealingDesk(std::function<void()> wake) : job_(std::move(wake)) {}

    /// Asks for the passphrase of the meet's key, or offers to make one; says it where neither can be done.
    /// 'publication' is what was just given out (none: the record as it stands).
    void ask(const MeetHands& hands, meet::PublicationId publication);
    /// The offer to make a key was taken up.
    void begin_key(const MeetHands& hands);
    /// The line that is being written is this one's.
    [[nodiscard]] bool writes() const { return asked_ == Asked::holder; }
    void kept(const MeetHands& hands, const std::string& holder);
    void kept_secret(const MeetHands& hands, store::SecretText secret);
    /// A passphrase was not given: later.
    void left_secret(const MeetHands& hands);
    /// Takes in what is done. 'here': its page is shown, and may ask again where a passphrase was wrong.
    void go_on(const MeetHands& hands, bool here);
    /// Lets go what is under way; false: nothing is.
    bool stop(const MeetHands& hands);

    /// Something is being worked out.
    [[nodiscard]] bool busy() const { return job_.step() != review::SealingStep::nothing; }
    /// What is under way, in words, and its share of the whole; empty: nothing is.
    [[nodiscard]] std::string progress_words() const;
    [[nodiscard]] float progress() const;
    /// What came of the last one: the seal's line, and what is to be kept of a new key.
    [[nodiscard]] const std::vector<std::string>& outcome() const { return outcome_; }

  private:
    enum class Asked : std::uint8_t { nothing, holder, passphrase, first_time, once_more };
    void ask_passphrase(const MeetHands& hands, const std::string& before = {});
    void ask_new_passphrase(const MeetHands& hands, const std::string& before = {});
    void take_outcome(const MeetHands& hands, const base::Result<review::SealMade>& outcome, bool here);

    review::SealingJob job_;
    Asked asked_ = Asked::nothing;
    meet::PublicationId publication_;
    meet::SigningKey key_;  ///< in force
    review::NewKey wish_;
    store::SecretText first_;
    std::vector<std::string> outcome_;
};

}  // namespace plumbmark::desk
