// Where the cameras of a run's clips stand on the frames that are asked about: from what was pointed at on
// some frame, carried over where the camera was moved since.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <stop_token>
#include <utility>

#include "base/result.h"
#include "course/book.h"
#include "follow/mapping.h"
#include "media/frame_table.h"
#include "meet/changes.h"
#include "review/camera_stands.h"
#include "review/measures.h"

namespace plumbmark::review {

/// A clip as it can be read.
struct ReadableClip {
    std::filesystem::path file;                      ///< empty: it is away
    std::shared_ptr<const media::FrameTable> table;  ///< never null
};

/// The still's picture and the frame's are held against each other (follow/follower.h): where they show the
/// scene alike the camera stood still, else what was pointed at is looked for in the frame, and the camera is
/// found anew from there, with how well it was found again added to how well it was pointed at. Reads
/// pictures, and takes a second or two for each stand and each frame on which the camera stands elsewhere:
/// not for the window's thread. Threads: one at a time.
class ClipCameras {
  public:
    /// 'state' and 'book' are copied; 'clips' those of the run that can be read.
    ClipCameras(meet::State state, course::CourseBook book, std::map<meet::ClipId, ReadableClip> clips,
                std::stop_token stop = {});
    ~ClipCameras();
    ClipCameras(const ClipCameras&) = delete;
    ClipCameras& operator=(const ClipCameras&) = delete;

    /// By the nearest stand of the clip. Errors: not_found where the clip has no stand or cannot be read;
    /// unsupported where the scene of the stand is not found again in that frame (point at the places there);
    /// what found_camera() and reading a frame give; cancelled. The pointer holds as long as this does.
    [[nodiscard]] base::Result<const FoundCamera*> at(meet::ClipId clip, const meet::FrameRef& frame);
    /// The same for measures_of() and measured_moment(): null where there is none.
    [[nodiscard]] CameraAt camera_at();

  private:
    struct Source;
    using Key = std::pair<std::int64_t, std::int64_t>;  ///< stand, frame

    [[nodiscard]] base::Result<const FoundCamera*> found(const meet::CameraStand& stand,
                                                         const ReadableClip& clip);
    [[nodiscard]] base::Result<std::optional<meet::CameraStand>> carried(const meet::CameraStand& stand,
                                                                         const ReadableClip& clip,
                                                                         const meet::FrameRef& frame);

    meet::State state_;
    course::CourseBook book_;
    std::map<meet::ClipId, ReadableClip> clips_;
    std::stop_token stop_;
    std::map<Key, std::unique_ptr<FoundCamera>> found_;
    std::map<Key, const FoundCamera*> known_;  ///< whichever of 'found_' holds on that frame
    std::map<Key, base::Error> failed_;
    std::map<std::int64_t, std::unique_ptr<Source>> sources_;  ///< by stand
};

/// The stand as it is seen in another frame: its points moved by where the scene is found again. 'error':
/// half the width that holds 95 % of what they may be off there, pixels.
[[nodiscard]] std::optional<meet::CameraStand> carried_stand(const meet::CameraStand& stand,
                                                             const meet::FrameRef& frame,
                                                             const follow::Mapping& mapping, double error);

}  // namespace plumbmark::review
