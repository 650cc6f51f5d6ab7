// Writing a package as a zip.
#pragma once

#include <filesystem>
#include <vector>

#include "base/result.h"
#include "store/package.h"

namespace plumbmark::store {

/// Writes a new zip with these files in this order, all with the same time. Error io.
[[nodiscard]] base::Result<void> write_zip(const std::filesystem::path& path,
                                           const std::vector<PackageFile>& files);

}  // namespace plumbmark::store
