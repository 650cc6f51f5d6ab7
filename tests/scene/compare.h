// How far a decoded picture may be from the rendered one: what the encoder is allowed to lose, and no more.
#pragma once

#include "frame.h"

namespace plumbmark::scene {

struct Difference {
    double psnr = 0;          ///< of luma over the whole picture, dB; 99 for equal pictures
    double worst_block = 0;   ///< largest mean absolute luma difference of an 8 x 8 block, in code values
    double worst_colour = 0;  ///< the same for 8 x 8 blocks of the colour planes
};
/// Pictures of the same size.
[[nodiscard]] Difference difference_of(const Picture& a, const Picture& b);

/// The bounds. They were set from the clips themselves: see docs/sample-meet.md for the margin on both sides.
inline constexpr double kLeastPsnr = 38.0;
inline constexpr double kMostBlock = 20.0;
inline constexpr double kMostColour = 10.0;

[[nodiscard]] bool within_loss(const Difference& d);

}  // namespace plumbmark::scene
