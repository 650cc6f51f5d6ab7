// What to_rgba and to_rgba_half share: described samples to an upright image.
#pragma once

#include <optional>

#include "media/colour.h"
#include "media/internal/libav.h"
#include "media/picture.h"

namespace plumbmark::media {

/// A picture's samples, described: its own, or those of a copy in planes, which is kept here.
struct DescribedSamples {
    FramePtr copy;  ///< null where the picture's own samples are described
    Samples samples;
};

/// Nothing where the format cannot be brought into planes or memory is short. Valid while the picture lives.
[[nodiscard]] std::optional<DescribedSamples> described_samples(const Picture& picture);

/// The samples, which are the picture's own or a smaller copy of them, in the picture's orientation or as
/// stored. 'into' may be used memory.
void convert(const Samples& samples, const Picture& tags, Orientation orientation, RgbaImage& into);

}  // namespace plumbmark::media
