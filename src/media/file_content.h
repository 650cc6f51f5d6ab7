// What a whole file holds, found out behind all other work.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "media/clip_bytes.h"

namespace plumbmark::media {

/// The content of a file, and the time of its last change when it was read.
struct FileContent {
    std::string sha256;           ///< FIPS 180-4, 64 lower-case hexadecimal digits
    std::int64_t changed_at = 0;  ///< ByteMark::changed_at
    friend bool operator==(const FileContent&, const FileContent&) = default;
};

struct ContentOptions {
    std::stop_token stop = {};                       ///< ends it with Category::cancelled
    std::function<void(double)> progress = nullptr;  ///< share read, 0 to 1; called on the reading thread
    /// Asked before each MiB: while it says yes, nothing is read. Empty: never busy.
    std::function<bool()> busy = nullptr;
    /// A file that was last changed at this time is not read.
    std::optional<std::int64_t> unless_changed_at = {};
    BytesOpener open_bytes = {};  ///< where the bytes come from; empty: the file of that name
};

/// Reads the whole file; none where unless_changed_at says that it need not be. Errors: as fingerprint; and
/// as what_changed where the file was written to, or exchanged for another, meanwhile. Any thread; takes as
/// long as the drive does.
[[nodiscard]] base::Result<std::optional<FileContent>> file_content(const std::filesystem::path& path,
                                                                    const ContentOptions& options = {});

/// Makes the calling thread, and those it starts from now on, give way to all others at the processor and,
/// where the system knows how, at the drive. It cannot be taken back.
void work_behind_all_others();

}  // namespace plumbmark::media
