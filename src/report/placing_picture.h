// Where to put a camera, as a map over the plan of a course, seen from above: how each place of the floor is
// worth it, in steps that differ by shade and by the size of a dot, so that nobody needs colours to tell them
// apart. The steps and how they look serve the window as well. Plain values; pure; any thread.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "course/plan.h"

namespace plumbmark::report {

/// How wide an interval is against the width that is wanted; the best comes first.
enum class PlacingStep : std::uint8_t {
    within,      ///< no more than wanted
    twice,       ///< no more than twice as much
    five_times,  ///< no more than five times as much
    wider,
    nothing,  ///< no width: no camera is found from there, or it does not see what is to be measured
};
inline constexpr std::array kPlacingSteps{PlacingStep::within, PlacingStep::twice, PlacingStep::five_times,
                                          PlacingStep::wider, PlacingStep::nothing};

/// 'width' is infinite where there is none.
[[nodiscard]] PlacingStep placing_step(double width, double bound);
/// "within 50 mm", "within 0.25 m", "wider", "nothing can be measured".
[[nodiscard]] base::Sentence placing_step_words(PlacingStep step, double bound);

/// How a cell looks, on any ground: the better, the darker and the larger its dot. Colours are 0xRRGGBB.
struct PlacingLook {
    std::uint32_t ground = 0, mark = 0;
    double dot = 0;  ///< radius as a part of a cell's side; 0: a slanting stroke in its place
};
[[nodiscard]] const PlacingLook& placing_look(PlacingStep step);

inline constexpr std::uint32_t kPlacingPaper = 0xFFFFFF, kPlacingInk = 0x1D1F21;
/// Okabe and Ito's reddish purple, darkened, as planes are printed elsewhere.
inline constexpr std::uint32_t kPlacingPlane = 0x8E4585;

/// How far apart numbers stand along the edge of a map, and how long its scale is: 1, 2 or 5 times a power of
/// ten, metres; at least 'least'.
[[nodiscard]] double placing_ticks(double least);

struct PlacingSurface {
    std::string name;
    std::vector<course::PlanPoint> points;
    bool closed = false;  ///< an outline; else a bar or rope from end to end
};

/// A place that is worth telling.
struct PlacingSpot {
    course::PlanPoint at{};
    base::Sentence says;  ///< "in the air within 28 mm, on coil deck within 9 mm"
};

struct PlacingPicture {
    std::string program_version;
    base::Sentence title;  ///< "Where to put a camera for front plane of the gantry deck"
    base::Sentence
        wanted;          ///< "Darker is better: how well it is told how far something is past the plane ..."
    std::string course;  ///< its name and revision
    // The floor, metres, in equal cells; y upwards. A cell's index is row * columns + column.
    double x_from = 0, x_to = 0, y_from = 0, y_to = 0;
    int columns = 0, rows = 0;
    std::vector<double> widths;  ///< of each cell, metres; infinite: none
    double bound = 0;            ///< the width that is wanted
    std::vector<PlacingSurface> surfaces;
    std::array<course::PlanPoint, 2> plane{};
    course::PlanPoint past{};                ///< a point beyond the plane
    std::vector<PlacingSpot> best;           ///< numbered from 1
    std::optional<course::PlanPoint> first;  ///< a camera that is there already
    std::vector<base::Sentence> supposed;    ///< what all of it rests on
    base::Sentence caution;
};

/// A bar or rope that stands upright is a ring from above.
[[nodiscard]] bool is_upright(const PlacingSurface& surface);
/// Short lines from the plane to its far side, so long; from foot to tip.
[[nodiscard]] std::vector<std::array<course::PlanPoint, 2>> placing_plane_ticks(const PlacingPicture& picture,
                                                                                double metres);

/// One SVG file that needs nothing but itself: the map with the plan over it, a scale, the legend with its
/// numbers, the best places in words, what is supposed and the caution; in English. The map has cells.
[[nodiscard]] std::string placing_svg(const PlacingPicture& picture);

}  // namespace plumbmark::report
