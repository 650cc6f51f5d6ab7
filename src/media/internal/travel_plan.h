// What to decode next while nobody waits: the frames that the hand will want, seen from where it is and which
// way it goes.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <set>

#include "media/frame_table.h"
#include "media/picture_store.h"

namespace plumbmark::media {

/// Frames first to last, to be decoded in one pass.
struct Stretch {
    std::int64_t first = 0, last = 0;
    friend bool operator==(const Stretch&, const Stretch&) = default;
};

struct Travel {
    std::int64_t hand = 0;
    int direction = 0;            ///< 1, -1, or 0 after a jump
    std::int64_t most_ahead = 0;  ///< frames to keep ready in the direction of travel, at most
    std::function<bool(std::int64_t)> lies_ahead;  ///< the reader can go on to this frame without a jump
};

/// The next stretch worth decoding; none when enough is kept. Forward: what is missing ahead, at once when
/// the reader can just go on, else when half of it is used up. Backward: the rest of the group behind, as
/// much of it as the budget has room for, once half of the way back is used up (a group can only be decoded
/// from its start, so it is done in one pass and in time). After a jump: a little ahead, then the group
/// behind. 'hopeless' are frames that do not decode.
[[nodiscard]] std::optional<Stretch> next_stretch(const FrameTable& table, const PictureStore::Shelf& shelf,
                                                  const Travel& travel,
                                                  const std::set<std::int64_t>& hopeless);

}  // namespace plumbmark::media
