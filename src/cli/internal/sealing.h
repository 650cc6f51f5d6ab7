// What the subcommands that seal share.
#pragma once

#include "cli/internal/passphrase.h"
#include "review/sealing.h"

namespace plumbmark::cli {

/// Opens the secret half of a meet's key with a passphrase; on a terminal it may be tried three times. Errors
/// as store::open_key and read_passphrase; cancelled where nothing was typed.
[[nodiscard]] base::Result<store::SecretKey> open_signing_key(const meet::SigningKey& key,
                                                              const PassphraseOptions& options);

/// "The record is sealed up to row 12 ...", and the line to keep.
void print_seal(const review::SealMade& sealed);

/// The number of the meet, for what is signed.
[[nodiscard]] base::Result<std::string> meet_identity(const std::string& meet_file);

}  // namespace plumbmark::cli
