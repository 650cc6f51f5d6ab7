// The two ways that a station which is not shown can have been, as they are drawn on the run strip: what
// nobody saw and no mark says. Pure values, on the clock of one clip, in nanoseconds.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "meet/values.h"
#include "ruling/ruling.h"

namespace plumbmark::desk {

/// A contact, or an instant, that one of the worlds has and no mark.
struct WorldStretch {
    int world = 0;  ///< 0 the first, drawn in a row's upper half; 1 the second, in its lower
    ruling::Verdict verdict = ruling::Verdict::clear;  ///< that the station has in that world
    int row = 0;  ///< of the five limb rows (strip_row); 5: planes and signals
    std::int64_t from = 0, to = 0;
    bool open = false;  ///< the world does not say when it ends
    std::string words;  ///< "clear if so: the left foot touches the gantry deck; nobody saw it"
    friend bool operator==(const WorldStretch&, const WorldStretch&) = default;
};

/// Of the worlds of one station's ruling, what lies on this clip. 'clips' by ruling::ClipIndex.
[[nodiscard]] std::vector<WorldStretch> world_stretches(const ruling::StationRuling& ruling,
                                                        const std::vector<meet::ClipId>& clips,
                                                        meet::ClipId clip);

}  // namespace plumbmark::desk
