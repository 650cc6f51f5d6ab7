// When something crosses a plane, between the frames: from where it was pointed at, or followed, on a few
// frames around. Seconds from an instant that the caller chooses; values; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/result.h"
#include "sight/measure.h"

namespace plumbmark::sight {

/// A point that was placed on one frame and followed to others by the pictures: how well it was placed on the
/// thing is the same on all of them, so more of such frames make that no better.
struct Placing {
    std::int64_t number = 0;  ///< the same on all frames that one placing was followed to, and on its own
    double moved = 0;  ///< pixels: standard deviation of the way from there, the same along x and y; beside
                       ///< the pointing's own 'standard', which is that of the placing
};
/// What of a limb's movement over a few frames is no uniform acceleration, and what of it turns under the
/// point that is followed: pixels, added to 'moved' in quadrature (common practice, no source).
inline constexpr double kFollowedOff = 0.5;

/// One frame on which it was pointed at.
struct CrossingFrame {
    double time = 0;  ///< when the picture's first row was taken
    Pointing at;
    std::optional<Pointing> in_second =
        std::nullopt;  ///< at the same moment in a second camera's picture; its 'along' says
                       ///< how well the cameras are tied. On all frames, or on none.
    /// Rows from the stored picture's first one, as the camera takes them; none: it stands upright as it is
    /// stored, and 'at' is that far down.
    std::optional<double> row = std::nullopt;
    /// Where the point was not placed on this picture, or others were followed from it.
    std::optional<Placing> placing = std::nullopt, second_placing = std::nullopt;
};

/// How long the camera takes from one row to the next; what nobody knows of it lies anywhere between.
struct RowDelay {
    double least = 0, most = 0;  ///< seconds a row; the same: it is known
};

struct CrossingQuestion {
    std::vector<CrossingFrame> frames;  ///< two or more, in the order of their times
    UprightPlane plane;
    /// Of one camera: where it may be. Of something that touches a level surface lowest and highest are that
    /// height. Not looked at where there is a second camera.
    Space space;
    RowDelay row_delay;  ///< of the (first) camera
};

struct Crossing {
    double best = 0;       ///< seconds: the middle of what the frames leave
    Span likely, sure;     ///< seconds, at kLikely and kSure
    double standard = 0;   ///< seconds, of either end of what the frames leave
    double speed = 0;      ///< metres a second through the plane; positive: to its far side
    double left_open = 0;  ///< seconds between the ends that the depth leaves; 0 of two cameras
    bool by_draws = false;
    bool outside = false;  ///< 'sure' reaches beyond the frames: more frames on that side would tell
    bool smooth = true;    ///< false: at a risk of 0.1 % no smooth movement passes these points within their
                           ///< stated errors; a point is probably on something else
    double roughness =
        0;  ///< what 'smooth' is of: chi-square of the points about the movement, over its
            ///< degrees of freedom; where it is not smooth 'standard' is multiplied by its root
};

/// What is supposed of limbs: standard deviation of their acceleration, in metres a second squared (common
/// practice, no source: a swung foot reaches some 50).
inline constexpr double kAcceleration = 30;

/// Through the distances of the frames goes the movement that fits them best, uniformly accelerated (within
/// kAcceleration, the more the frames say); the crossing is where it is none. All that the frames have in
/// common - camera, measures, plane, tie, row delay - moves them together. Of one camera the distances of
/// both ends of the space are taken, and the crossing lies between theirs. Errors: bad_input: fewer than two
/// frames, not in order, a frame on which it is not in the space; it does not cross within the frames, or
/// more than once; it hardly moves through the plane.
[[nodiscard]] base::Result<Crossing> crossing(const CalibratedCamera& camera,
                                              const CrossingQuestion& question,
                                              const CalibratedCamera* second = nullptr);

/// The row delay of a camera from two flashes of light, each much shorter than the exposure, which is the
/// same for both. A flash lights the rows whose exposure holds it. 'lit': how many rows the first one lit,
/// all within one frame: the exposure in rows. 'dark': where the second one lit the end of one frame and the
/// beginning of the next, how many rows lie between the last lit one of the later frame and the first lit one
/// of the earlier: the rest of the frame interval in rows. (Derived here; no source.) 'frame_interval' in
/// seconds. Each count is right to +- 'rows_off'. Error bad_input where the numbers are no rows of one
/// camera.
[[nodiscard]] base::Result<RowDelay> row_delay_of(double lit, double dark, double rows_off,
                                                  double frame_interval, int height);

}  // namespace plumbmark::sight
