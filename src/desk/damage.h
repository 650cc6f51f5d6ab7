// Where a clip's file is damaged, in words and in time: for the run strip, the line of help and the list.
// Pure.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "media/frame_table.h"

namespace plumbmark::desk {

/// A stretch of the clip's clock, in nanoseconds: from <= until <= lean_until.
struct DamagedStretch {
    std::int64_t from = 0;        ///< damaged frames come on, or frames are missing
    std::int64_t until = 0;       ///< the first good frame after them, or the clip's end
    std::int64_t lean_until = 0;  ///< up to here pictures may show remains of the damage
    std::int64_t frame = 0;  ///< where to look: the first damaged frame, or the one after the missing ones
    std::string words;       ///< "f 30 to 41: the decoder had to make up parts of these pictures"
    friend bool operator==(const DamagedStretch&, const DamagedStretch&) = default;
};

/// In the order shown; empty for a sound file.
[[nodiscard]] std::vector<DamagedStretch> damaged_stretches(const media::FrameTable& table);

/// What is wrong at a frame (0 <= frame < size), as a clause: "damaged: ...", "pictures are missing before
/// this one: ...", "may show remains of the damage at f 30"; empty where nothing is known to be.
[[nodiscard]] std::string damage_at(const media::FrameTable& table, std::int64_t frame);

/// The frame itself lies in a damaged stretch.
[[nodiscard]] bool is_damaged(const media::FrameTable& table, std::int64_t frame);

/// "1 damaged place", "4 damaged places"; "damaged file" where only the file as a whole is known to be; empty
/// for a sound one.
[[nodiscard]] std::string damage_summary(const media::FrameTable& table);

}  // namespace plumbmark::desk
