// ClipInfo from an open container.
#pragma once

#include "media/clip_info.h"
#include "media/internal/demuxer.h"

namespace plumbmark::media {

/// Fills everything but basis, damage and variable_rate.
ClipInfo describe(const Demuxer& demuxer);

/// Clockwise quarter turns (after mirroring) and mirror that a display matrix asks for; nearest quarter.
void read_orientation(const std::int32_t* matrix, int& quarter_turns, bool& mirrored);

}  // namespace plumbmark::media
