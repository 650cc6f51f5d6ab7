// What a point looks like in a picture, and how well it is found there: a small piece of a picture is drawn
// with blur, movement and noise, and a detector looks for the point in it, as an official's pointing that a
// program betters does. Patches are grey, 8 bits.
#pragma once

#include <array>
#include <optional>

#include "sight/camera.h"
#include "trials/dice.h"

namespace plumbmark::trials {

/// What the picture does to what is in it.
struct Looks {
    double blur = 1;       ///< pixels: standard deviation of the lens's
    double noise = 4;      ///< grey levels of 255, standard deviation, in each pixel
    double contrast = 80;  ///< grey levels between a thing and what is behind it
    double hand = 1.5;     ///< pixels by which the pointing that the detector begins at is off
};

/// A point and what the detector's answers scatter about the truth in such a patch: the root of the mean
/// square over patches of the same kind that were drawn anew, each with the point elsewhere in its pixel.
struct Found {
    sight::Pixel at;
    double standard = 0;
};

/// A corner of something bright, from which its two edges run in these directions. By the gradients around it
/// (W. Foerstner and E. Guelch 1987, as OpenCV's cornerSubPix has it). Nothing where the detector fails in
/// this patch or in too many of its like: edges nearly along each other, too little contrast.
[[nodiscard]] std::optional<Found> find_corner(sight::Pixel truth, const std::array<sight::Pixel, 2>& edges,
                                               const Looks& looks, Dice& dice);

/// A bright disc that moves by 'smear' while the picture is taken, being at 'truth' halfway through. By its
/// centre of gravity over what is behind it.
[[nodiscard]] std::optional<sight::Pixel> find_marker(sight::Pixel truth, sight::Pixel smear, double radius,
                                                      const Looks& looks, Dice& dice);
/// What find_marker() scatters.
[[nodiscard]] double marker_scatter(sight::Pixel smear, double radius, const Looks& looks, Dice& dice);

}  // namespace plumbmark::trials
