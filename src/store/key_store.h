// The secret keys that this machine's user signs with: one file a key, in a folder that only they may read,
// each sealed with a passphrase. The form stands in docs/meet-file.md, 'Where secret keys are kept'.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "store/signing.h"

namespace plumbmark::store {

/// What guessing one passphrase costs (Argon2id, RFC 9106).
struct PassphraseCost {
    std::uint64_t passes = 3;
    std::uint64_t memory_bytes = 256U << 20U;
};

inline constexpr std::size_t kShortestPassphrase = 8;  ///< bytes

/// $XDG_DATA_HOME/plumbmark/keys, or ~/.local/share/plumbmark/keys (XDG Base Directory Specification 0.8).
/// Error not_found where neither variable says where the user's files are.
[[nodiscard]] base::Result<std::filesystem::path> key_folder();

/// The file of this public key (64 digits) in a folder.
[[nodiscard]] std::filesystem::path key_path(const std::filesystem::path& folder,
                                             const std::string& public_key);

/// Whether the secret half of this key is kept there.
[[nodiscard]] bool holds_key(const std::filesystem::path& folder, const std::string& public_key);

/// Error bad_input where a new passphrase is shorter than kShortestPassphrase. Pure.
[[nodiscard]] base::Result<void> check_new_passphrase(const std::string& passphrase);

/// Keeps a key: makes the folder (mode 0700) where there is none, writes the file beside (mode 0600) and puts
/// it in its place when all of it is on the disk. A file that is there already is never written over. Takes
/// as long as the cost says (about a second). Errors: bad_input (a passphrase shorter than
/// kShortestPassphrase), io; nothing is left behind then.
[[nodiscard]] base::Result<void> keep_key(const std::filesystem::path& folder, const SecretKey& key,
                                          const std::string& passphrase, const PassphraseCost& cost = {});

/// Opens a kept key. Takes as long as its cost says. Errors: not_found (it is not on this machine),
/// bad_input (the passphrase is another one; nothing changes), damaged (the file is no such key: names what),
/// bad_input (others may read the file), io.
[[nodiscard]] base::Result<SecretKey> open_key(const std::filesystem::path& folder,
                                               const std::string& public_key, const std::string& passphrase);

}  // namespace plumbmark::store
