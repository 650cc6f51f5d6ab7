// The files behind a meet's clips, held to what the meet knows of them.
#pragma once

#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "meet/values.h"

namespace plumbmark::review {

/// What a clip's whole file holds now, beside what the meet knows of it.
enum class FileState {
    same,     ///< its SHA-256 is the one that the meet knows
    other,    ///< it is another one
    unknown,  ///< the meet knows none yet
};

struct ClipFile {
    FileState state = FileState::unknown;
    std::string sha256;                   ///< of the file as it is now
    std::filesystem::path moved_to = {};  ///< where it was found; empty: where the meet knows it
};

/// Finds the file, also below the meet's folder (clip_search.h), and reads all of it, whatever its time of
/// change. Waits for the drive. Errors: not_found, damaged (empty), io, cancelled. 'progress' gets the share
/// read, 0 to 1. Any thread.
[[nodiscard]] base::Result<ClipFile> read_clip_file(const std::filesystem::path& meet_folder,
                                                    const meet::Clip& clip, std::stop_token stop = {},
                                                    const std::function<void(double)>& progress = {});

/// A line for people: what is known of the clip's content, without looking at its file.
[[nodiscard]] std::string content_words(const meet::Clip& clip);
/// A line for people: what its file turned out to be.
[[nodiscard]] std::string content_words(const meet::Clip& clip, const base::Result<ClipFile>& found);

}  // namespace plumbmark::review
