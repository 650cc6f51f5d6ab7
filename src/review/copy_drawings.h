// Takes the drawings of another clip of the same camera over, where the scene is found again.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>

#include "base/result.h"
#include "media/frame_table.h"
#include "meet/changes.h"

namespace plumbmark::review {

struct CopyDrawings {
    std::filesystem::path meet_folder;
    meet::State state;  ///< the meet as it is now
    meet::ClipId from, to;
    std::filesystem::path to_file;
    std::shared_ptr<const media::FrameTable> to_table;
    std::int64_t to_frame = 0;  ///< the copies' still
};

struct CopiedDrawings {
    /// One change: each drawing with its points where the scene lies in the frame; one that is drawn already
    /// on the clip is redrawn.
    meet::Change change;
    int copied = 0, left_out = 0;  ///< those left out do not fit there
    double error = 0;              ///< the largest, pixels of the picture (follow::ShapeFit::error)
};

/// Each drawing of 'from' is matched from its own still (frame 0 where it has none) to the frame of 'to'.
/// Waits for drives and decoders: not for the window's thread. Errors: not_found (no drawings; the clip's
/// file is away), unsupported (none of them fits: another view, another size of picture, or too little
/// detail), cancelled, and what reading a frame gives.
[[nodiscard]] base::Result<CopiedDrawings> copy_drawings(const CopyDrawings& wanted,
                                                         const std::stop_token& stop = {});

/// The same in the background. Threads: made, asked and destroyed by one owner; 'wake' is called once it is
/// done. The destructor stops it.
class CopyDrawingsJob {
  public:
    CopyDrawingsJob(CopyDrawings wanted, std::function<void()> wake);
    /// The answer, once.
    [[nodiscard]] std::optional<base::Result<CopiedDrawings>> take();

  private:
    const CopyDrawings wanted_;
    const std::function<void()> wake_;
    std::mutex mutex_;
    std::optional<base::Result<CopiedDrawings>> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
