// What is drawn over a picture, the same on a page, on paper and burnt into it.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "report/internal/paper.h"
#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// A place that was pointed at: a ring round it.
struct OverlaySpot {
    std::array<double, 2> at{};
    double radius = 0;
    std::string colour;  ///< "#rrggbb"
};

/// What is drawn over a picture of this size, in its pixels.
struct PictureOverlay {
    int width = 0, height = 0;
    double unit = 1;  ///< pixels that one device-independent point comes to: lines and letters scale with it
    std::vector<StillOutline> outlines;
    std::vector<OverlaySpot> spots;
    bool apart = false;  ///< a name that would lie over another moves up or down, or is left out
};

/// The strokes in the order in which they are drawn. Points that are no numbers are left out.
[[nodiscard]] std::vector<paper::Stroke> picture_overlay(const PictureOverlay& over);

/// The surfaces, the planes with ticks to their far side, the ring of this colour round the contact, and the
/// names, in the picture's pixels and in the order in which they are drawn. Points that are no numbers are
/// left out.
[[nodiscard]] std::vector<paper::Stroke> still_overlay(const media::RgbaImage& picture,
                                                       const std::vector<StillOutline>& outlines,
                                                       const std::optional<std::array<double, 2>>& spot,
                                                       const char* colour, bool apart);
/// Those of a sheet's still.
[[nodiscard]] std::vector<paper::Stroke> still_overlay(const RulingDocument& document, const Still& still);

/// The ring of what no limb does.
inline constexpr const char* kNoLimbColour = "#1d1f21";

/// The quality at which every sheet keeps its stills, as media::encode_jpeg counts it.
inline constexpr int kStillQuality = 85;

}  // namespace plumbmark::report
