// Reading whole files that a person named.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

#include "base/result.h"

namespace plumbmark::review {

/// All bytes of a file. Errors: not_found, bad_input (a folder, or over 'most' bytes), io.
[[nodiscard]] base::Result<std::string> read_file(const std::filesystem::path& path,
                                                  std::size_t most = 64U << 20U);

}  // namespace plumbmark::review
