// How the map of where to put a camera is drawn: the same steps, dots and lines as in the picture file
// (report/placing_picture.h), on white in every theme.
#pragma once

#include <optional>

#include "desk/internal/paint.h"
#include "report/placing_picture.h"
#include "sight/placing.h"

namespace plumbmark::desk {

/// Where the floor lies on the screen; y upwards.
struct MapFrame {
    Box map;
    float scale = 1;  ///< screen pixels a metre
    double x_from = 0, y_to = 0;
    [[nodiscard]] ImVec2 to_screen(sight::FloorPlace at) const {
        return {map.x + static_cast<float>(at.x - x_from) * scale,
                map.y + static_cast<float>(y_to - at.y) * scale};
    }
    [[nodiscard]] sight::FloorPlace to_floor(ImVec2 at) const {
        return {x_from + static_cast<double>(at.x - map.x) / scale,
                y_to - static_cast<double>(at.y - map.y) / scale};
    }
};

/// As large as it fits into a box beside its numbers.
[[nodiscard]] MapFrame placing_frame(const Look& look, const Box& box, const report::PlacingPicture& picture);
void draw_placing_map(const Look& look, const report::PlacingPicture& picture, const MapFrame& frame,
                      const std::optional<sight::FloorPlace>& cursor, ImDrawList* list);
/// Two cells of a step, for the legend.
void draw_placing_step(const Look& look, report::PlacingStep step, const Box& box, ImDrawList* list);

}  // namespace plumbmark::desk
