// Type of the desk: Inter in a few sizes, with digits of one width.
#pragma once

#include "desk/internal/gui.h"

namespace plumbmark::desk {

/// A disc in the atlas, white on nothing: drawn as two triangles, where a circle takes dozens.
struct Disc {
    float radius = 0;  ///< 0: there is none
    float half = 0;    ///< half a side of the square that it stands in
    ImVec2 uv_from, uv_to;
};
/// At 100 %, of the discs that tables are full of.
inline constexpr float kDiscRadius = 5.5F;

/// The cuts in use, each built at its own size so that it stays sharp.
struct Fonts {
    ImFont* body = nullptr;    ///< 15 px at 100 %
    ImFont* strong = nullptr;  ///< 15 px, semi-bold
    ImFont* italic = nullptr;  ///< 15 px
    ImFont* small = nullptr;   ///< 13 px
    ImFont* title = nullptr;   ///< 19 px, semi-bold
    Disc disc;                 ///< kDiscRadius
    bool inter = false;        ///< false: Inter is not installed and another face stands in
};

/// Empties the context's font atlas and builds it for this scale. The caller uploads the texture. Needs a
/// current toolkit context; UI thread.
[[nodiscard]] Fonts build_fonts(float scale);

}  // namespace plumbmark::desk
