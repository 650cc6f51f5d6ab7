// Sealing what was given out while the meet is open: the key is opened, or made, and the seal signed on a
// thread of its own; the rows are written by the session.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>

#include "review/latest_job.h"
#include "review/sealing.h"
#include "review/session.h"
#include "store/secret_text.h"

namespace plumbmark::review {

/// How far it is.
enum class SealingStep : std::uint8_t {
    nothing,      ///< nothing is being sealed
    opening_key,  ///< the passphrase is tried, which takes about a second on purpose
    making_key,   ///< ... or a key made with it
    saving,       ///< waits until all that is to be sealed is on the disk
    signing,
    writing,  ///< the seal goes to the disk
};

/// Owned and asked by the session's thread, on which nothing here waits; 'wake' is called from another thread
/// when poll() has something to do. Passphrase and key are wiped as soon as they were used.
class SealingJob {
  public:
    explicit SealingJob(std::function<void()> wake) : opening_(wake), signing_(wake) {}

    /// Seals with this key of the meet, kept in the folder, for a publication (none: nothing in particular).
    /// What was under way is let go.
    void begin(const meet::SigningKey& key, const std::filesystem::path& folder, store::SecretText passphrase,
               meet::PublicationId publication);
    /// Makes the meet's first key, and seals with it. 'wish' is without a passphrase.
    void begin_with_new_key(const NewKey& wish, store::SecretText passphrase,
                            meet::PublicationId publication);
    /// Lets it go; a key that was made and added stays. Once the seal is being written it is too late.
    void stop();

    [[nodiscard]] SealingStep step() const { return step_; }
    /// Where the last one came to its end: another passphrase may help where it was 'opening_key'.
    [[nodiscard]] SealingStep ended_at() const { return ended_at_; }
    /// The key that was made and added on the way, once: its secret half is on this machine.
    [[nodiscard]] std::optional<meet::SigningKey> take_new_key() { return std::exchange(new_key_, {}); }

    /// Goes on as far as it can. Gives the seal once it is on the disk for good, or why there is none:
    /// bad_input where the passphrase is another one or too short, else as open_key_of, make_key and
    /// make_seal.
    [[nodiscard]] std::optional<base::Result<SealMade>> poll(Session& session);

  private:
    using Opened = base::Result<std::shared_ptr<KeyMade>>;
    std::optional<base::Result<SealMade>> end(base::Result<SealMade> outcome);
    base::Result<void> take_key(Session& session, const std::shared_ptr<KeyMade>& made);

    LatestJob<Opened> opening_;
    LatestJob<base::Result<SealMade>> signing_;
    SealingStep step_ = SealingStep::nothing, ended_at_ = SealingStep::nothing;
    std::shared_ptr<KeyMade> key_;
    bool fresh_key_ = false;
    std::optional<meet::SigningKey> new_key_;
    meet::PublicationId publication_;
    std::optional<SealMade> sealed_;
    std::uint64_t question_ = 0;
};

}  // namespace plumbmark::review
