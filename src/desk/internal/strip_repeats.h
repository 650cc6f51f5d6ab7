// Repeated pictures on the run strip.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// Where repeated pictures stand on the screen, for the pointer.
struct RepeatsHit {
    Box box;
    std::string words;
};

/// Draws a short stroke in the ruler's foot while a repeated picture is on screen: quiet, and where they lie
/// too close to be told apart one line. 'track' is the rows' box, 'x_of' gives the place of a time
/// (nanoseconds). Only what is visible costs anything; a hit for each stroke.
[[nodiscard]] std::vector<RepeatsHit> draw_repeats(const Look& look, const Box& track,
                                                   const std::vector<meet::RepeatedPictures>& repeated,
                                                   const media::FrameTable& table,
                                                   const std::function<float(std::int64_t)>& x_of,
                                                   ImDrawList* list);

}  // namespace plumbmark::desk
