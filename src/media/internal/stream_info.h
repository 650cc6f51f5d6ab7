// ClipInfo from an open container.
#pragma once

#include "media/clip_info.h"
#include "media/internal/demuxer.h"

namespace plumbmark::media {

/// What the container says about this stream.
[[nodiscard]] StreamLabel label_of(const AVFormatContext& format, const AVStream& stream);

/// All sound streams. 'pictures': index of the stream of pictures that the preset one should belong to; -1:
/// none.
[[nodiscard]] std::vector<SoundStream> sound_streams(const AVFormatContext& format, int pictures);

/// Fills everything but basis, damage and variable_rate.
ClipInfo describe(const Demuxer& demuxer);

/// Clockwise quarter turns (after mirroring) and mirror that a display matrix asks for; nearest quarter.
void read_orientation(const std::int32_t* matrix, int& quarter_turns, bool& mirrored);

}  // namespace plumbmark::media
