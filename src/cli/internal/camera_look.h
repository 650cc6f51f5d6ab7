// Which way a camera looks, in angles that people read.
#pragma once

#include <array>
#include <optional>

#include "sight/calibrate.h"

namespace plumbmark::cli {

/// Degrees.
struct Look {
    std::optional<double> bearing;  ///< of the line of sight from the x axis towards y; not of a vertical one
    double elevation = 0;           ///< above the level
    double roll = 0;  ///< about the line of sight, clockwise as the camera sees it; 0 of a vertical one
    double sideways = 0, up_down = 0, around = 0;  ///< standard deviations
    /// Angles of view through the picture's middle, horizontally and vertically.
    std::optional<std::array<double, 2>> view;
};

[[nodiscard]] Look look_of(const sight::CalibratedCamera& camera);

}  // namespace plumbmark::cli
