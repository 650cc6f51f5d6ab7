// Where a person's own small files lie, and keeping one. Any thread.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"

namespace plumbmark::review {

/// plumbmark/ in $XDG_CONFIG_HOME (usually ~/.config), where a person writes.
[[nodiscard]] std::filesystem::path config_folder();
/// plumbmark/ in $XDG_STATE_HOME (usually ~/.local/state), where the program writes (XDG Base Directory
/// Specification 0.8).
[[nodiscard]] std::filesystem::path state_folder();

/// Writes a file whole or not at all, making its folder where it is not there. Errors: io.
[[nodiscard]] base::Result<void> keep_file(const std::filesystem::path& file, const std::string& text);

}  // namespace plumbmark::review
