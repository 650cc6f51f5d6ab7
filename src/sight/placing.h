// Where to put a camera, before there is one: what a calibration at each place of a floor would be worth for
// measuring at a plane. From the plan of a course alone: places with their tolerances, the plane, a lens.
// Nothing is drawn at random and no picture is looked at: the same plan gives the same map on every run.
//
// Nothing hides anything yet: a place counts as seen where it is ahead of the camera and within its picture,
// whatever of the course, of people or of walls stands before it. A map therefore promises too much rather
// than too little; a place is good only as far as one can see from it.
//
// Metres, degrees and pixels; values; any thread.
#pragma once

#include <cstddef>
#include <functional>
#include <limits>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "sight/calibrate.h"
#include "sight/measure.h"

namespace plumbmark::sight {

struct FloorPlace {
    double x = 0, y = 0;
    friend bool operator==(const FloorPlace&, const FloorPlace&) = default;
};

/// A rectangle of floor in equal cells, along the world's axes; what is looked at is the middle of each.
struct FloorGrid {
    double x_from = 0, x_to = 0, y_from = 0, y_to = 0;
    int columns = 0, rows = 0;  ///< along x and along y
    [[nodiscard]] std::size_t count() const {
        return static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
    }
    /// 'index' is row * columns + column.
    [[nodiscard]] FloorPlace middle(std::size_t index) const;
};
inline constexpr std::size_t kMostFloorCells = 1'000'000;

struct PlacingPlan {
    /// Each would be pointed at once wherever the picture holds it. No two have the same name.
    std::vector<KnownPlace> places;
    UprightPlane plane;     ///< its ends may name places by their index in 'places'
    Level level;            ///< what is stood on at the plane; it may name places as well
    double air_height = 0;  ///< z of a part in the air at the plane
    Space space;  ///< where that part would be said to be; holds its height, and reaches beyond both
                  ///< ends of the plane
    /// As it is supposed to be. Of one that will not be measured fx = fy, and k1 is all of its bending.
    Lens lens;
    LensKnowledge knowledge = LensKnowledge::measured;  ///< what will be known of it
    LensStandard lens_standard;                         ///< where it is measured
    double pointing = 1;       ///< pixels: standard deviation, of places and of what is measured alike
    double camera_height = 0;  ///< z of the camera, wherever it is put
    FloorGrid floor;
};

/// A lens that bends nothing, by how many degrees its picture is wide (more than 0 and less than 180).
[[nodiscard]] Lens lens_with(double degrees_across, int width, int height);

/// Why a camera is worth nothing there.
enum class Hindrance {
    none,
    over_the_plane,      ///< nearer than kNearest to the plane's middle on the floor plan: nowhere to aim
    too_few,             ///< places in the picture
    on_one_line,         ///< all that are
    untold_focal,        ///< the focal length is not known, and they do not tell it
    too_close_together,  ///< they do not tell where it stands
    two_ways,            ///< the camera could stand in another place that shows nearly the same
    plane_outside,       ///< calibrated, but an end of the plane is not in the picture, at that height
    not_from_above,      ///< calibrated, but the surface is not seen from above, or hardly
    grazing,             ///< calibrated, but the line of sight only just meets the space
    along_each_other,    ///< of a second camera: both look from the same side
};
inline constexpr double kNearest = 0.3;

/// What a camera is worth there. Both widths are the worst of three points of the plane, its ends and the
/// middle between them, and infinite where there is none: then the hindrance beside it is not 'none'.
struct PlaceWorth {
    /// Half width, metres, of the interval at kLikely of how far a contact on the level is past the plane.
    double on_level = std::numeric_limits<double>::infinity();
    /// The same of a part at 'air_height', known to be in the space: half of what in_the_air() would leave,
    /// which holds the depth that one camera cannot tell. Of two cameras: triangulated.
    double in_air = std::numeric_limits<double>::infinity();
    bool calibrated = false;
    int seen = 0;         ///< places in the picture
    double standing = 0;  ///< metres: standard deviation of where it stands; where calibrated
    double parallax = 0;  ///< degrees, of two cameras: at the part over the plane's middle
    Hindrance calibration = Hindrance::none;  ///< why it is not calibrated; then the two others say the same
    Hindrance level = Hindrance::none, air = Hindrance::none;
    friend bool operator==(const PlaceWorth&, const PlaceWorth&) = default;
};

/// As a sentence, with what to do; empty of 'none'. 'worth' is whose hindrance it is.
[[nodiscard]] base::Sentence said(Hindrance hindrance, const PlaceWorth& worth);

/// One for each cell.
struct PlacingMap {
    FloorGrid floor;
    std::vector<PlaceWorth> each;
};

/// A camera put there, upright, heading to the plane's middle, and tilted to halfway between the lowest and
/// the highest of the three points of the plane on the level and at 'air_height'. Nothing of a place nearer
/// than kNearest.
[[nodiscard]] std::optional<Camera> aimed(const PlacingPlan& plan, FloorPlace place);

/// What a calibration there would be worth: its covariance is the inverse of the bundle's normal matrix with
/// the camera and the places where they are (design of a network before it is measured: E. Grafarend, 1974,
/// its first order; as CalibratedCamera has it), and from it the widths by the law of propagation (JCGM
/// 100:2008) alone. No draws hold that to account; where it does not hold, as where the camera is hardly
/// higher than the level, the measurement itself will say so and its interval be another one.
///
/// The reasons not to calibrate are those of calibrate(), for pictures without noise: near the border between
/// can and cannot a calibration may do the other thing. Another way to stand is looked for from each
/// beginning that calibrate() has, to its end.
///
/// Errors: bad_input where the plan does not say what is needed: no lens, no grid, a space that does not hold
/// the part, two places of one name, numbers that are none.
[[nodiscard]] base::Result<PlaceWorth> worth_at(const PlacingPlan& plan, FloorPlace place);

/// The same of all cells. 'progress' gets the share done, 0 to 1, after each row, on the calling thread.
/// Errors: those of worth_at; cancelled, within a cell.
[[nodiscard]] base::Result<PlacingMap> worth_map(const PlacingPlan& plan,
                                                 const std::function<void(double)>& progress = {},
                                                 const std::stop_token& stop = {});

/// With one camera at 'first': what a second one in each cell adds. Both have the plan's lens and height,
/// both widths are of seen_by_two(), at the same moment (cameras that are tied to within some milliseconds
/// only are worth less), and an error of the tape that both were calibrated with is not taken for two.
/// 'calibrated', 'seen' and 'standing' are the second one's. Errors: those of worth_map; bad_input where the
/// first one cannot be calibrated, with the reason.
[[nodiscard]] base::Result<PlacingMap> pair_map(const PlacingPlan& plan, FloorPlace first,
                                                const std::function<void(double)>& progress = {},
                                                const std::stop_token& stop = {});

enum class Wanted { on_level, in_air, both };

/// The width that is wanted: of both, the wider one.
[[nodiscard]] double width(const PlaceWorth& worth, Wanted wanted);

/// At most 'most' cells whose width is no more than 'bound' metres, the narrowest first, of equal ones the
/// one with the lower index; any two at least 'apart' metres from each other, so that they are not all
/// neighbours. Empty: no place keeps the bound.
[[nodiscard]] std::vector<std::size_t> best(const PlacingMap& map, Wanted wanted, double bound,
                                            std::size_t most, double apart = 0);

}  // namespace plumbmark::sight
