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

/// "Ines Quay (head judge)"; "the head judge" where the name is not known.
[[nodiscard]] std::string holder_words(const std::string& holder, meet::Capacity capacity);
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
