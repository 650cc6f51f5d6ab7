// Places in a clip's pictures that are blurred wherever the pictures leave the meet.
#pragma once

#include <array>
#include <string>

#include "base/ids.h"
#include "meet/values.h"

namespace plumbmark::meet {

using CoverId = base::Id<struct CoverTag>;

/// A place that somebody covered by hand, over a stretch of one clip's pictures.
struct Cover {
    CoverId id;
    ClipId clip;
    FrameRef first;  ///< the first and the last frame that it covers, both within; they may be one
    FrameRef last;
    /// x, y, width, height as fractions of the upright picture, x right, y down from its upper left corner:
    /// 0 <= x, 0 < width, x + width <= 1, and so for y and height.
    std::array<double, 4> box{};
    std::string shows;  ///< personal; what stands there: "a spectator's face"; may be empty
    friend bool operator==(const Cover&, const Cover&) = default;
};

}  // namespace plumbmark::meet
