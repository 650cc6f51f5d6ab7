// Frame tables kept from one opening of a clip to the next, in the user's cache folder.
#pragma once

#include <filesystem>
#include <optional>

#include "base/result.h"
#include "media/frame_table.h"

namespace plumbmark::media {

/// $XDG_CACHE_HOME/plumbmark, or ~/.cache/plumbmark; empty when neither is known (XDG Base Directory
/// Specification 0.8). Not made here.
[[nodiscard]] std::filesystem::path user_cache_folder();

/// The kept table of this clip as these options would scan it; none when there is none, when the clip is
/// another by size, time of change or sampled content (media/fingerprint.h), when another release of this
/// program or of libav made it, or when it is damaged. Reads at most 256 KiB of the clip. Any thread.
[[nodiscard]] std::optional<FrameTable> recall_table(const std::filesystem::path& clip,
                                                     const ScanOptions& options,
                                                     const std::filesystem::path& folder);

/// Keeps a table, whole or not at all, and lets the oldest go where the folder holds more than 512 of them or
/// 512 MiB. What fails is not told: the next opening scans again. Any thread, any number of programs at once.
void keep_table(const std::filesystem::path& clip, const ScanOptions& options, const FrameTable& table,
                const std::filesystem::path& folder);

}  // namespace plumbmark::media
