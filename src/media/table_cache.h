// Frame tables kept from one opening of a clip to the next, in the user's cache folder.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"
#include "media/frame_table.h"

namespace plumbmark::media {

/// $XDG_CACHE_HOME/plumbmark, or ~/.cache/plumbmark; empty when neither is known (XDG Base Directory
/// Specification 0.8). Not made here.
[[nodiscard]] std::filesystem::path user_cache_folder();

/// What a kept table must agree with to be a clip's: the clip's size, time of change and sampled content
/// (media/fingerprint.h), the options of the scan, and the releases of this program and of libav.
struct TableKey {
    std::string facts;           ///< one line each
    std::filesystem::path file;  ///< where the table is kept
};

/// Reads at most 256 KiB of the clip. Make it before the scan, so that a table of what the file held before
/// is never kept for what it holds after. None when the folder is empty, when the bytes do not come from the
/// file (ScanOptions::open_bytes), or when the file cannot be read. Any thread.
[[nodiscard]] std::optional<TableKey> table_key(const std::filesystem::path& clip, const ScanOptions& options,
                                                const std::filesystem::path& folder);

/// The table kept under this key; none when there is none, or when it is damaged. Any thread.
[[nodiscard]] std::optional<FrameTable> recall_table(const TableKey& key);

/// Keeps a table, whole or not at all, and lets the oldest files go where the folder holds more than 1,024 or
/// 512 MiB. What fails is not told: the next opening scans again. Any thread, any number of programs at once.
void keep_table(const TableKey& key, const FrameTable& table);

}  // namespace plumbmark::media
