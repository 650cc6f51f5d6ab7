// Where the drawings of one clip lie in its frames, for pictures that leave the meet.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "base/result.h"
#include "follow/follower.h"
#include "media/picture.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// One owner thread. Keeps no reference.
class PlacedDrawings {
  public:
    /// Frame n of the clip; may wait for the decoder.
    using Frames = std::function<base::Result<std::shared_ptr<const media::Picture>>(std::int64_t)>;

    PlacedDrawings(const meet::State& state, meet::ClipId clip);

    /// The drawings as they lie in this frame, by id: as drawn where they have no still or were made on this
    /// frame, else where the following finds them (docs/following.md). What it does not find is left out, as
    /// is everything with a still on a frame that does not decode. A drawing whose still does not decode, or
    /// shows too little to follow anything by, stays as it was drawn, as it does on the desk. Quickest in the
    /// order of the frames.
    [[nodiscard]] std::vector<meet::Drawing> in(std::int64_t frame, const Frames& frames);

  private:
    /// The drawings of one still.
    struct Group {
        std::vector<meet::Drawing> drawings;
        std::optional<follow::Follower> follower;
        bool made = false;  ///< whether the follower was tried
        std::optional<follow::Mapping> seen;
        std::int64_t seen_at = 0;  ///< the frame on which 'seen' holds
    };
    static void make(Group& group, std::int64_t still, const Frames& frames);
    static void follow(Group& group, std::int64_t frame, const media::Picture& picture,
                       std::vector<meet::Drawing>& placed);

    std::vector<meet::Drawing> fixed_;  ///< without a still
    std::map<std::int64_t, Group> by_still_;
};

}  // namespace plumbmark::review
