// What the map of where to put a camera keeps.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "meet/camera.h"
#include "sight/placing.h"

namespace plumbmark::desk {

/// The widths that may be wanted, metres.
inline constexpr std::array kPlacingBounds{0.01, 0.02, 0.05, 0.1, 0.2};
/// How many degrees the picture of a lens may be wide that nobody measured: a long telephone lens, the usual
/// one, a wide and a very wide one (common practice, no source).
inline constexpr std::array kPlacingAcross{50.0, 65.0, 80.0, 105.0};

struct PlacingView {
    int plane = 0;                               ///< of the plan's planes
    std::size_t bound = 2;                       ///< of kPlacingBounds
    sight::Wanted wanted = sight::Wanted::both;  ///< which width counts
    double height = 1.6;                         ///< of the camera, metres
    std::size_t lens = 1;                        ///< of kPlacingAcross, then of 'lenses'
    std::vector<meet::CameraLens> lenses;        ///< measured ones that may be taken
    std::optional<sight::FloorPlace> cursor;     ///< the place that is told about
    std::optional<sight::FloorPlace> first;      ///< the map is of a second camera to one there
    int best = -1;                               ///< of the best places, that Tab went to last
    float scroll = 0;                            ///< rows to move the words by when drawn next
};

}  // namespace plumbmark::desk
