// A clip's file with its frames, in a session and where none is open.
#pragma once

#include <filesystem>
#include <memory>
#include <stop_token>

#include "base/result.h"
#include "media/frame_table.h"
#include "meet/values.h"
#include "review/session.h"

namespace plumbmark::review {

struct ClipSource {
    std::filesystem::path file;
    std::shared_ptr<const media::FrameTable> table;  ///< never null
};

/// The clip's file, looked for below the meet's folder as well (clip_search.h) and held to its fingerprint,
/// with its table from the cache or by scanning. Errors: not_found, damaged (it is another one), io, why it
/// cannot be read, cancelled. Waits for drives; any thread.
[[nodiscard]] base::Result<ClipSource> clip_source(const std::filesystem::path& meet_folder,
                                                   const meet::Clip& clip, const std::stop_token& stop);

/// Of a clip of the session's run. Errors: not_found (the run has no such clip), busy (it is still being
/// read), why it cannot be read. Waits for nothing.
[[nodiscard]] base::Result<ClipSource> clip_source(const Session& session, meet::ClipId clip);

}  // namespace plumbmark::review
