// What the desk keeps of a person between two openings: preferences, and the meets that were open. Small text
// files that can be read and changed by hand. Any thread; nothing here is kept in memory.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "desk/theme.h"
#include "review/own_folders.h"

namespace plumbmark::desk {

using review::config_folder;
using review::keep_file;
using review::state_folder;

struct Preferences {
    Theme theme = Theme::dark;
    double size = 1;  ///< of letters and everything else; 0.5 to 3
    bool sound = true;
    bool strip_folded = false;
    bool angles_alone = false;
    bool own_list_of_files = false;  ///< the desk's, although the system has a window for choosing files
    std::string language = {};       ///< a code of base/catalogue.h; empty: as the environment asks
    friend bool operator==(const Preferences&, const Preferences&) = default;
};

/// Lines 'name = value', '#' begins a remark; what is not named is as usual. Errors (bad_input): the first
/// line that cannot be read, and what is expected there.
[[nodiscard]] base::Result<Preferences> read_preferences(std::string_view text, const std::string& file);
/// All of them, as read_preferences reads them.
[[nodiscard]] std::string write_preferences(const Preferences& preferences);

/// The meets that were open, the newest first: one path a line. A file that cannot be read is an empty list.
[[nodiscard]] std::vector<std::filesystem::path> read_recent(const std::filesystem::path& file);
/// The list with this meet first, no more than a dozen, no meet twice.
[[nodiscard]] std::vector<std::filesystem::path> with_recent(std::vector<std::filesystem::path> list,
                                                             const std::filesystem::path& meet);
/// As read_recent reads them.
[[nodiscard]] std::string write_recent(const std::vector<std::filesystem::path>& list);

}  // namespace plumbmark::desk
