// Where a clip's bytes come from: a file, or a twin in memory that can be made to fail, stall and shrink.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>

#include "base/result.h"

namespace plumbmark::media {

/// What tells one state of a file from another without reading it.
struct ByteMark {
    std::int64_t size = 0;        ///< bytes
    std::int64_t changed_at = 0;  ///< time of the last change in nanoseconds, as the file system tells it
    std::uint64_t device = 0, file = 0;  ///< which file it is on this machine; 0 where that has no meaning
    friend bool operator==(const ByteMark&, const ByteMark&) = default;
};

/// An open clip's bytes. One owner thread, except for the stop token.
class ClipBytes {
  public:
    virtual ~ClipBytes() = default;

    /// Copies bytes from 'offset' (not negative) on: at least one and at most into.size(), or none at the
    /// end. May wait for a slow drive; a stop request ends the wait (Category::cancelled). Errors: cancelled,
    /// io; after an error other offsets, and the same one later, may still be read.
    [[nodiscard]] virtual base::Result<std::size_t> read(std::int64_t offset, std::span<std::uint8_t> into,
                                                         const std::stop_token& stop) = 0;
    /// As of opening. What was added to the file since then does not belong to the clip.
    [[nodiscard]] virtual const ByteMark& mark() const = 0;
    /// As it is now under the same name. May wait for a slow drive, as read(). Errors: not_found (it is
    /// gone), cancelled, io.
    [[nodiscard]] virtual base::Result<ByteMark> look(const std::stop_token& stop) const = 0;
};

/// Opens the bytes of a clip by its name. Called on the thread that scans or reads. May wait for a slow
/// drive; a stop request ends the wait (Category::cancelled).
using BytesOpener = std::function<base::Result<std::unique_ptr<ClipBytes>>(const std::filesystem::path&,
                                                                           const std::stop_token&)>;

/// The bytes of a file. Reads of what lies in memory cost one call of the system; where the drive must be
/// waited for, a thread of its own waits, so that a stop request ends the read also on a drive that never
/// answers (the thread then ends by itself, when the drive does). The same holds for opening and looking.
/// Errors: not_found, bad_input (a folder, or neither a file nor a drive), damaged (empty), io, cancelled.
[[nodiscard]] base::Result<std::unique_ptr<ClipBytes>> open_file_bytes(const std::filesystem::path& path,
                                                                       const std::stop_token& stop = {});

/// How long an answer of a drive is waited for.
struct Patience {
    std::stop_token stop = {};                           ///< ends the wait
    std::optional<std::chrono::milliseconds> most = {};  ///< none: as long as it takes
};

/// What stands under this name (not_found: nothing); none when the patience ended first. Any thread.
[[nodiscard]] std::optional<std::filesystem::file_type> type_of_file(const std::filesystem::path& path,
                                                                     const Patience& patience);

/// What happened to a clip's file between two moments, as an error that says what to do; nothing when it is
/// the same still. 'now' is what ClipBytes::look gave.
[[nodiscard]] std::optional<base::Error> what_changed(const ByteMark& then, const base::Result<ByteMark>& now,
                                                      const std::filesystem::path& path);

}  // namespace plumbmark::media
