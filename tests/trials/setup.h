// Made-up stations, cameras and movements whose truth is known, and what a judge would be told of them: tape
// measures within their tolerance, points pointed at with an error, what is known of the lens. The truth
// is projected by sight/camera.h, which tests/sight/calibrate_test.cpp holds to published figures.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sight/crossing.h"
#include "sight/measure.h"
#include "trials/dice.h"
#include "trials/patch.h"

namespace plumbmark::trials {

/// Whether the world keeps to what src/sight supposes, and how it does not otherwise.
enum class Part {
    within,
    heavy_pointing,  ///< pointing errors of Student's t with four degrees; in a third a corner 6 sigma off
    wrong_tape,      ///< one place measured wrongly by 5 to 20 tolerances
    other_bending,   ///< a lens with k2, k3, p1, p2, of which nobody was told
    tilted,          ///< the deck is not level by 0.2 degrees, and was taken for level
    changing_pull,   ///< the limb's acceleration changes while it crosses
};
inline constexpr std::size_t kParts = 6;
inline constexpr double kWithinShare = 0.7;    ///< the other parts share what is left evenly
inline constexpr double kRenderedShare = 0.3;  ///< of set-ups whose points are found in drawn patches
[[nodiscard]] std::string name_of(Part part);

struct TruePlane {
    sight::Vec3 start, ahead, past;
    [[nodiscard]] double distance(sight::Vec3 at) const { return dot(at - start, past); }
    [[nodiscard]] double along(sight::Vec3 at) const { return dot(at - start, ahead); }
};

/// A camera, and what was pointed at in its picture.
struct View {
    sight::Camera truth;
    sight::Sightings told;
    double pointing = 1;  ///< pixels: of corners; of limbs it is more
    double limb_pointing = 1;
    Looks looks;
};

/// A limb's way, seconds from the instant at which it is in the true plane.
struct Movement {
    sight::Vec3 at, speed, pull, change;  ///< change of the pull, a second
    [[nodiscard]] sight::Vec3 place(double t) const {
        return at + t * speed + (t * t / 2) * pull + (t * t * t / 6) * change;
    }
};

/// What is asked, and how it is in truth.
struct Asked {
    sight::Vec3 at;
    sight::Pointing in_first;
    std::optional<sight::Pointing> in_second;
    sight::Space space;  ///< that holds it
};
struct AskedCrossing {
    Movement movement;
    sight::CrossingQuestion question;
    double frame_interval = 0;
    bool two = false;
};

struct Setup {
    std::uint64_t seed = 0;
    Part part = Part::within;
    bool rendered = false;
    std::vector<sight::Vec3> places;  ///< as they truly are
    std::size_t rectangles = 1;       ///< of four places each, the first is the deck that is stood on
    sight::Vec3 tilt;                 ///< the deck's height grows by this along x and y
    TruePlane plane;
    sight::UprightPlane told_plane;
    sight::Level told_level;
    std::array<View, 2> views;
    // Questions; those that could not be made (nothing of it in the picture) are missing.
    std::optional<Asked> contact, in_air, by_two;
    std::optional<AskedCrossing> air_crossing, deck_crossing, two_crossing, followed_crossing;
};

/// The same for the same seed.
[[nodiscard]] Setup draw_setup(std::uint64_t seed);

/// Degrees between the true line of sight to a point and the true plane.
[[nodiscard]] double true_angle(const Setup& setup, sight::Vec3 at);

}  // namespace plumbmark::trials
