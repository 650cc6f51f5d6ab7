// Copies of a meet file that can be trusted, and putting one back.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>

#include "base/result.h"

namespace plumbmark::store {

/// What a copy holds.
struct Copied {
    std::filesystem::path file;
    std::int64_t rows = 0;  ///< of its journal, which was verified
};

/// Gets the share done, 0 to 1; giving false stops the work.
using CopyProgress = std::function<bool(double)>;

/// Copies a meet file page by page as it is at one moment, also while another program writes to it, which
/// waits meanwhile; verifies the copy's chain; and gives it its name only when it is on the disk for good.
/// The bytes of every journal row stay as they are. Errors: those of opening; damaged (the chain is broken);
/// io (there is a file of that name, the disk is full ...: what was written is removed again); cancelled.
[[nodiscard]] base::Result<Copied> back_up(const std::filesystem::path& meet_file,
                                           const std::filesystem::path& copy,
                                           const CopyProgress& progress = {});

/// "pier-nine 2026-05-02 14.32.07.meet", beside the meet file; a time of day as the machine shows it.
[[nodiscard]] std::filesystem::path backup_name(const std::filesystem::path& meet_file,
                                                const std::string& word, std::int64_t seconds_since_1970);

struct Restored {
    std::int64_t rows = 0;         ///< of the journal, as the backup has it
    std::filesystem::path kept;    ///< what was there before; empty: nothing was
    std::int64_t rows_before = 0;  ///< of what was there; 0: it could not be read
};

/// Puts a backup in a meet file's place. Verifies it first; keeps what was there under 'keep_as', whole; at
/// every moment either the old file or the new one is there, whole. Errors: those of back_up, of the backup;
/// busy (another program has the meet file open for writing); bad_input (both are one file, or the file there
/// is of another meet, whose name the sentence says).
[[nodiscard]] base::Result<Restored> restore(const std::filesystem::path& backup,
                                             const std::filesystem::path& meet_file,
                                             const std::filesystem::path& keep_as,
                                             const CopyProgress& progress = {});

}  // namespace plumbmark::store
