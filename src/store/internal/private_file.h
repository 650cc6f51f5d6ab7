// Files that only their owner may read, put into place whole or not at all.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"

namespace plumbmark::store {

/// Makes a folder, and those above it, with mode 0700 each where there is none. Error io.
[[nodiscard]] base::Result<void> make_private_folder(const std::filesystem::path& folder);

/// Writes a new file with mode 0600: beside it first, synced, then in its place, and the folder synced. Error
/// io, also where there is a file of the name already; what was begun is removed then.
[[nodiscard]] base::Result<void> write_private_file(const std::filesystem::path& path,
                                                    const std::string& bytes);

/// Reads one. Errors: not_found, bad_input (others may read it; no plain file), damaged (over 'most' bytes),
/// io.
[[nodiscard]] base::Result<std::string> read_private_file(const std::filesystem::path& path,
                                                          std::size_t most);

}  // namespace plumbmark::store
