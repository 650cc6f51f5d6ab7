// Where something is that was pointed at in a picture, and how far it is past a plane: numbers with what they
// are worth, or that this camera cannot tell. Metres, seconds and pixels; values; any thread, as long as the
// cameras that are handed in live. The same input gives the same figures on every run.
//
// Every figure is propagated twice: by the law of propagation (JCGM 100:2008) and by drawing (JCGM 101:2008).
// Where the two disagree (JCGM 101, 8.1, or beyond what so many draws scatter) the draws are given.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "sight/calibrate.h"

namespace plumbmark::sight {

/// A point of a picture that somebody pointed at.
struct Pointing {
    Pixel at;
    double standard = 1;  ///< pixels: standard deviation of the pointing, the same along x and y
    /// Where the picture may be of another moment than is asked about: the point lies anywhere between
    /// at - along and at + along, as likely here as there. Of a camera that is tied to another within +-t
    /// seconds: t times the point's speed in this picture.
    Pixel along{0, 0};
};

/// What is stood on, level.
struct Level {
    double height = 0;                ///< z, metres
    double tolerance = 0;             ///< metres by which that may be wrong
    std::vector<std::size_t> places;  ///< of the (first) camera's: where any are named, their mean height is
                                      ///< taken instead, as the picture has bettered it
};

struct PlaneEnd {
    double x = 0, y = 0;
    double tolerance = 0;              ///< metres by which each may be wrong
    std::optional<std::size_t> place;  ///< of the (first) camera's: where it is named, that one is taken
};
/// A plane that stands upright over a line on the floor plan. The ends lie apart.
struct UprightPlane {
    std::array<PlaneEnd, 2> ends;
    bool past_is_left = true;  ///< seen from end 0 towards end 1: the side of somebody who has passed it
};

/// Where a part of a body may be that is not on anything.
struct Space {
    double lowest = 0, highest = 0;  ///< z, metres
    double along_from = 0,
           along_to = 0;  ///< metres from end 0 of the plane towards end 1, and on beyond both
};

struct Span {
    double low = 0, high = 0;
    friend bool operator==(const Span&, const Span&) = default;
};

/// Said only where the interval at 99.9 % allows it.
enum class Side {
    before,
    on,  ///< within kOnWithin of the plane, whichever side
    past,
    cannot_tell,
};
inline constexpr double kOnWithin = 0.01;  ///< metres
inline constexpr double kLikely = 0.95;    ///< probability of Distance::likely
inline constexpr double kSure = 0.999;     ///< of Distance::sure, and of the words
inline constexpr int kDraws = 20'000;      ///< of a first look; ten times as many where they are needed

struct Distance {
    /// Past the plane, metres; negative: before it. The best values; two where the picture leaves a range.
    Span best;
    double standard = 0;     ///< the larger of both ends'
    double by_pointing = 0;  ///< what of 'standard' comes of pointing alone,
    double by_standing = 0;  ///< and of the camera, the measures and the plane; squares add up
    Span likely, sure;
    bool by_draws = false;  ///< the law of propagation did not hold: 'likely' and 'sure' are of draws
    Side side = Side::cannot_tell;
    double angle = 0;  ///< degrees between the line of sight and the plane; 0: the plane is seen as a line
};

struct Position {
    Vec3 at;
    Mat3 covariance{};  ///< square metres
};

struct OnLevel {
    Position position;
    std::optional<Distance> distance;  ///< where a plane was asked for
};

/// Of something that touches a level surface: the line of sight meets the level there.
/// Errors: bad_input where the line of sight does not come down to the level (the camera is below it, or the
/// point lies above its horizon), where the plane's ends do not lie apart, or an index names no place.
[[nodiscard]] base::Result<OnLevel> on_level(const CalibratedCamera& camera, const Pointing& pointing,
                                             const Level& level, const UprightPlane* plane = nullptr);

/// Of something in the air: it is on the line of sight, within the space, nobody knows where. 'best' is the
/// range of distances that leaves; where the line of sight runs along the plane (the camera stands in it) the
/// range is narrow, and the question settled.
/// Errors: bad_input where the line of sight does not pass through the space.
[[nodiscard]] base::Result<Distance> in_the_air(const CalibratedCamera& camera, const Pointing& pointing,
                                                const UprightPlane& plane, const Space& space);

struct Meeting {
    Position position;
    std::optional<Distance> distance;  ///< its angle is the first camera's
    double parallax = 0;               ///< degrees between the two lines of sight
    double miss = 0;             ///< metres by which the two lines of sight pass each other, positive or not
    double miss_normalised = 0;  ///< that over its standard deviation
    bool meets = true;           ///< false: beyond what 99.9 % of the misses of one thing are: two different
                                 ///< things, or two moments, were pointed at, or a camera is wrong
};

/// Of the same thing at the same moment in two pictures. The position is the one whose two pictures lie
/// nearest to where was pointed (R. Hartley and P. Sturm, 'Triangulation', 1997; from the linear answer on by
/// Gauss and Newton). What both cameras know from the same places (by their names) is not counted twice.
/// Errors: bad_input where the two lines of sight run along each other, or meet behind a camera.
[[nodiscard]] base::Result<Meeting> seen_by_two(const CalibratedCamera& first, const Pointing& in_first,
                                                const CalibratedCamera& second, const Pointing& in_second,
                                                const UprightPlane* plane = nullptr);

}  // namespace plumbmark::sight
