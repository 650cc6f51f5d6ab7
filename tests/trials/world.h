// The steps in which a set-up is made, for setup.cpp.
#pragma once

#include "trials/setup.h"

namespace plumbmark::trials {

/// Places, deck and plane, true and told.
void draw_station(Setup& setup, std::vector<sight::KnownPlace>& told, Dice& dice);
/// A camera that sees the deck, at this angle from the plane (degrees, on the floor plan); false: after many
/// tries there was none.
[[nodiscard]] bool draw_view(const Setup& setup, const std::vector<sight::KnownPlace>& told, double angle,
                             sight::LensKnowledge knowledge, View& view, Dice& dice);
/// Height of the deck's surface there.
[[nodiscard]] double deck_height(const Setup& setup, double x, double y);

/// Where something was pointed at whose picture is truly there, and what is said of the pointing. 'smear':
/// how far it moves while the picture is taken.
[[nodiscard]] sight::Pointing pointed(const Setup& setup, const View& view, sight::Pixel truth,
                                      sight::Pixel smear, Dice& dice);
/// Nothing of a point that is not in the picture.
[[nodiscard]] std::optional<sight::Pixel> in_picture(const sight::Camera& camera, sight::Vec3 at,
                                                     double margin = 4);

void draw_questions(Setup& setup, Dice& dice);

}  // namespace plumbmark::trials
