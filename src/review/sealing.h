// Sealing a meet's record for the desk and the command line: its keys, its seals, and what they say in words.
// Every function opens the meet file itself and waits for the disk: not for the window's thread.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"
#include "store/key_store.h"
#include "store/seals.h"

namespace plumbmark::review {

/// The key that signs for the meet now; none: it has none yet. Pure.
[[nodiscard]] std::optional<meet::SigningKey> key_in_force(const meet::State& state);

/// How a new key comes into a meet.
enum class KeyChange {
    first,            ///< the meet has none
    replace,          ///< the key in force signs the new one
    replace_as_lost,  ///< the key in force is lost; verifying tells the gap
};

struct NewKey {
    std::string holder;
    meet::Capacity capacity = meet::Capacity::head_judge;
    KeyChange change = KeyChange::first;
    std::string passphrase;        ///< of the new key
    std::string old_passphrase;    ///< of the key that is replaced
    std::filesystem::path folder;  ///< where secret keys are kept (store::key_folder())
    store::PassphraseCost cost = {};
};

/// Whether this key may come into a meet in this state; so that nobody is asked for a passphrase in vain.
/// Errors: bad_input (no holder; the meet has a key already, or none to replace), not_found (the secret half
/// of the key that is to sign the new one is not in the folder).
[[nodiscard]] base::Result<void> check_new_key(const meet::State& state, const NewKey& wish);

/// Makes a key, keeps its secret half on this machine, and adds it to the meet. Errors: those of
/// check_new_key, bad_input (a passphrase that is too short or wrong), those of the file. After an error the
/// meet is as it was; a secret key that was kept already does no harm.
[[nodiscard]] base::Result<meet::SigningKey> add_key(const std::filesystem::path& meet_file,
                                                     const NewKey& wish);

struct SealMade {
    meet::Seal seal;
    bool fresh = false;  ///< false: nothing was written since the last seal, and it is that one
    std::string line;    ///< store::seal_line_text
};

/// Seals the last row of the journal. Where that row is itself a seal of the row before, nothing is written.
/// Errors: bad_input where the key is not the one in force; those of the file.
[[nodiscard]] base::Result<SealMade> seal_journal(const std::filesystem::path& meet_file,
                                                  const store::SecretKey& key,
                                                  meet::PublicationId publication = {});

// Who holds the meet file open and writes it himself (the window) takes the same in two steps: what waits for
// a passphrase or the disk is made on another thread, the change that comes of it is applied to the state.

struct KeyMade {
    meet::SigningKey key;  ///< without an id
    store::SecretKey secret;
};
/// Makes a key and keeps its secret half on this machine. 'before': the key in force; 'identity': of the meet
/// (store::MeetFile::identity), which only a key that signs the next one needs. Errors as add_key, but for
/// those of the file. Takes as long as its passphrase costs; any thread.
[[nodiscard]] base::Result<KeyMade> make_key(const std::optional<meet::SigningKey>& before,
                                             const std::string& identity, const NewKey& wish);
/// The change that adds a key, under the next free id. Pure.
[[nodiscard]] meet::Change key_change(const meet::State& state, meet::SigningKey key);

/// The seal over the last row that the file holds now, not yet written. Reads the file; another may write it
/// meanwhile: the rows that come after are not sealed then. Errors as seal_journal.
[[nodiscard]] base::Result<SealMade> make_seal(const std::filesystem::path& meet_file,
                                               const store::SecretKey& key, meet::PublicationId publication);
/// The change that adds a seal, under the next free id. Pure.
[[nodiscard]] meet::Change seal_change(const meet::State& state, meet::Seal seal);

/// Opens the secret half of a meet's key. Errors as store::open_key; where it is not on this machine, the
/// sentence says what can be done.
[[nodiscard]] base::Result<store::SecretKey> open_key_of(const meet::SigningKey& key,
                                                         const std::filesystem::path& folder,
                                                         const std::string& passphrase);
/// Error not_found where the secret half is not in the folder, as open_key_of. Waits for no passphrase.
[[nodiscard]] base::Result<void> check_key_is_here(const meet::SigningKey& key,
                                                   const std::filesystem::path& folder);

/// What is said of a key that was just made: whose it is, its fingerprint, where its secret half lies, and
/// what to do with that. A sentence each. Pure.
[[nodiscard]] std::vector<base::Sentence> new_key_words(const meet::SigningKey& key,
                                                        const std::filesystem::path& folder);

/// "Sealed up to row 131 by Ines Quay (head judge), 2026-05-02 10:11:12 UTC: PM1-131-...": the last seal of a
/// meet; empty: there is none. Pure.
[[nodiscard]] base::Sentence last_seal_words(const meet::State& state);

/// The official publications of a meet that no seal was made after; by the clock of the one who sealed where
/// the seal names no publication. Ascending. Pure.
[[nodiscard]] std::vector<meet::PublicationId> unsealed_publications(const meet::State& state);

/// "Ines Quay (head judge)"; "the head judge" where the name is not known.
[[nodiscard]] base::Sentence holder_words(const std::string& holder, meet::Capacity capacity);
/// "2026-05-02 10:11:12 UTC".
[[nodiscard]] std::string time_words(meet::WallTime time);

/// What keys and seals say of the record, a sentence a line; the first that is wrong comes first. Pure.
[[nodiscard]] std::vector<std::string> record_words(const store::SealReport& report);

/// How a seal line that was kept elsewhere stands to a meet file.
struct LineCheck {
    bool holds = false;
    std::string sentence;
};
/// Errors as store::verify_seals.
[[nodiscard]] base::Result<LineCheck> check_seal_line(const std::filesystem::path& meet_file,
                                                      const store::SealReport& report,
                                                      const store::SealLine& line);

}  // namespace plumbmark::review
