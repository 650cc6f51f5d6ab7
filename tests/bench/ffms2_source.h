// FFMS2's index as a figure of its own: what it needs before it can show a frame.
#pragma once

#include <filesystem>

namespace plumbmark::bench {

[[nodiscard]] bool ffms2_installed();
/// Indexes the clip and throws the index away. False when it fails.
bool ffms2_index(const std::filesystem::path& clip);

}  // namespace plumbmark::bench
