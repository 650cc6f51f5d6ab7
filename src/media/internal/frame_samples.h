// The description of a frame's samples with a picture's tags.
#pragma once

#include <optional>

#include "media/colour.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

/// As samples_of(), for a frame that need not be the picture's own: it may be a copy in another format.
[[nodiscard]] std::optional<Samples> samples_in(const AVFrame& frame, const Picture& tags);

/// The planar format with the same samples as a format that samples_in() does not describe, so that bringing
/// one to the other only moves numbers; AV_PIX_FMT_NONE where there is none, and for R'G'B'.
[[nodiscard]] AVPixelFormat planar_twin(AVPixelFormat format);

}  // namespace plumbmark::media
