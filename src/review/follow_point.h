// A mark's own place, pointed at on one frame, looked for in the frames around it, so that the moment of a
// crossing can be measured from one point.
#pragma once

#include <filesystem>
#include <memory>
#include <stop_token>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "follow/point_track.h"
#include "media/frame_table.h"
#include "meet/values.h"

namespace plumbmark::review {

/// Frames that are looked into on either side of a mark's bracket; and of the frame that was pointed at,
/// where the bracket is wider than kWideBracket frames. Over more of them no limb is uniformly accelerated,
/// which measuring the moment supposes.
inline constexpr std::int64_t kAroundBracket = 1, kAroundPoint = 2, kWideBracket = 3;
/// A point that is known no better than this, in pixels, is as good as lost.
inline constexpr double kFollowedBadly = 2.0;

struct PointToFollow {
    std::filesystem::path clip;
    std::shared_ptr<const media::FrameTable> table;
    meet::Pointed start;               ///< pointed at, not followed
    std::int64_t first = 0, last = 0;  ///< frames, both included; first <= start.frame.number <= last
};

/// Which frames of the clip are looked into; nothing but the one itself where the clip has one frame.
[[nodiscard]] std::pair<std::int64_t, std::int64_t> frames_to_follow(const meet::Mark& mark,
                                                                     const meet::Pointed& start,
                                                                     std::int64_t frames_of_clip);

struct PointFollowed {
    std::vector<meet::Pointed> points;  ///< without the start; ascending
    /// Frames on which it is lost, ascending, with the reason; of those that are known too badly no_detail.
    std::vector<std::pair<std::int64_t, follow::PointLoss>> lost;
};

/// Reads the frames as large as they were filmed and follows the point (follow/point_track.h) both ways.
/// Blocks, about a tenth of a second; any thread. Errors: those of media::FrameReader, and cancelled.
[[nodiscard]] base::Result<PointFollowed> follow_point(const PointToFollow& asked,
                                                       const std::stop_token& stop = {});

/// "Followed to 3 frames: f 118, f 120 and f 121. Lost at f 122: what is around it looks otherwise there."
[[nodiscard]] base::Sentence followed_words(const PointFollowed& followed);

}  // namespace plumbmark::review
