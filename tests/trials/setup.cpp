#include "trials/setup.h"

#include <algorithm>
#include <cmath>

#include "trials/world.h"

namespace plumbmark::trials {

using namespace sight;

std::string name_of(Part part) {
    switch (part) {
        case Part::within:
            return "within";
        case Part::heavy_pointing:
            return "heavy pointing";
        case Part::wrong_tape:
            return "wrong tape";
        case Part::other_bending:
            return "other bending";
        case Part::tilted:
            return "tilted";
        case Part::changing_pull:
            return "changing pull";
    }
    return {};
}

double true_angle(const Setup& setup, Vec3 at) {
    const Vec3 sight = unit(at - centre(setup.views[0].truth));
    return std::asin(std::clamp(std::abs(dot(sight, setup.plane.past)), 0.0, 1.0)) * 180 / Dice::kPi;
}

namespace {

Part draw_part(Dice& dice) {
    if (dice.chance(kWithinShare)) return Part::within;
    return static_cast<Part>(1 + dice.pick(kParts - 1));
}

/// One rectangle alone seldom tells the focal length as well, so its lens was mostly measured.
LensKnowledge draw_knowledge(const Setup& setup, Dice& dice) {
    const double kind = dice.even(0, 1);
    if (setup.places.size() == 4) return kind < 0.8 ? LensKnowledge::measured : LensKnowledge::focal_length;
    if (kind < 0.4) return LensKnowledge::measured;
    return kind < 0.75 ? LensKnowledge::focal_length : LensKnowledge::focal_and_radial;
}

/// Half of the cameras were put beside the plane, as a judge's camera is.
double draw_angle(Dice& dice) {
    return dice.chance(0.5) ? dice.any_size(0.3, 10) : dice.even(0, 90);
}

}  // namespace

Setup draw_setup(std::uint64_t seed) {
    Dice dice(seed);
    for (;;) {
        Setup setup;
        setup.seed = seed;
        setup.part = draw_part(dice);
        setup.rendered = dice.chance(kRenderedShare) && setup.part != Part::heavy_pointing;
        std::vector<KnownPlace> told;
        draw_station(setup, told, dice);
        const double angle = draw_angle(dice);
        // The other camera looks from somewhere else, as one does that is there to see depth.
        const double other = angle > 45 ? dice.even(0, angle - 30) : dice.even(angle + 30, 90);
        if (!draw_view(setup, told, angle, draw_knowledge(setup, dice), setup.views[0], dice) ||
            !draw_view(setup, told, other, draw_knowledge(setup, dice), setup.views[1], dice))
            continue;
        draw_questions(setup, dice);
        return setup;
    }
}

}  // namespace plumbmark::trials
