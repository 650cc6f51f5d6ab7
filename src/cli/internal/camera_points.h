// The points file of 'plumbmark camera', as docs/camera-points.md describes it: places with their measures,
// and where they are in a picture.
#pragma once

#include <string_view>
#include <vector>

#include "base/result.h"
#include "cli/internal/camera_measures.h"
#include "sight/calibrate.h"

namespace plumbmark::cli {

/// At most so much is read: a fit costs the cube of what is looked for.
inline constexpr std::size_t kMostPlaces = 64;
inline constexpr std::size_t kMostEdgePoints = 200;  ///< of all edges together
inline constexpr std::size_t kMostAsked = 64;        ///< planes, and measures

struct CameraPoints {
    sight::Sightings sightings;  ///< the places, points and edges in the order of the file
    std::vector<AskedPlane> planes;
    std::vector<AskedMeasure> measures;
};

/// Error bad_input: its sentence holds every problem on a line of its own, each as "file:line:column: what
/// stands there; expected what should." Never throws; any bytes are allowed.
[[nodiscard]] base::Result<CameraPoints> read_camera_points(std::string_view text, std::string_view file);

}  // namespace plumbmark::cli
