// Decoded pictures put into the toolkit's drawing, so that magnified ones show their real pixels.
#pragma once

#include "desk/internal/gui.h"
#include "desk/internal/textures.h"

namespace plumbmark::desk {

/// From more screen pixels than this for one of the picture's on, each of the picture's pixels is shown as it
/// is; below, they are interpolated: large enough to count pixels, a smooth picture would show edges that no
/// camera saw.
inline constexpr float kRealPixelsFrom = 2;

/// Adds the part of the picture from 'uv_from' to 'uv_to' (0 to 1) between two points of the screen. The
/// texture must live until the drawing is rendered. 'quick': it is gone again in a moment, so where the
/// processor draws it is made smaller a little less smoothly.
void add_picture(ImDrawList* list, const Texture& texture, ImVec2 from, ImVec2 to, ImVec2 uv_from = {0, 0},
                 ImVec2 uv_to = {1, 1}, ImU32 tint = IM_COL32_WHITE, bool quick = false);

/// Of the picture as it is shown, upright: a pixel's width by its height.
[[nodiscard]] double upright_pixel_aspect(const media::Picture& picture);

}  // namespace plumbmark::desk
