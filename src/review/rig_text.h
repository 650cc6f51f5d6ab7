// How a rig is written in a line.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "meet/testing.h"

namespace plumbmark::review {

/// "WHAT;WHERE;METRES", the last two may be missing: "hawser;hook 3;2.25". Error bad_input says how it is
/// written. Pure.
[[nodiscard]] base::Result<meet::RigItem> read_rig_item(const std::string& text);

/// Several with '|' between them: "hawser;hook 3;2.25 | crash mat". An empty line is none. Errors as above.
[[nodiscard]] base::Result<std::vector<meet::RigItem>> read_rig_items(const std::string& text);

/// The line that read_rig_items() reads as these, where no name holds ';' or '|'.
[[nodiscard]] std::string rig_items_text(const std::vector<meet::RigItem>& items);

/// The files of photographs, with '|' between them; those that are not absolute lie in 'folder'. An empty
/// line is none. Whether they are there is not looked at. Pure.
[[nodiscard]] std::vector<std::filesystem::path> read_photo_files(const std::string& text,
                                                                  const std::filesystem::path& folder);
/// The line that read_photo_files() reads as these, where no name holds '|'.
[[nodiscard]] std::string photo_files_text(const std::vector<std::filesystem::path>& files);

}  // namespace plumbmark::review
