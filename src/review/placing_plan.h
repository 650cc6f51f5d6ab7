// Where to put a camera, asked of a course book: its plan as the places that will be pointed at, a plane,
// what is stood on there, and the floor on which the camera may stand. Metres, pixels and degrees; pure; any
// thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "meet/camera.h"
#include "review/measures.h"
#include "sight/placing.h"

namespace plumbmark::review {

/// What is supposed where nobody says otherwise (common practice, no source): a telephone on a tripod, a hand
/// or a foot a metre over what is stood on, and a hall that leaves 8 m around the course.
inline constexpr double kUsualAcross = 65;  ///< degrees
inline constexpr double kUsualCameraHeight = 1.6;
inline constexpr double kUsualAir = 1;
inline constexpr double kUsualAround = 8;
inline constexpr double kUsualCell = 0.5;

struct PlacingWish {
    std::string plane;  ///< its key
    sight::Lens lens = sight::lens_with(kUsualAcross, 1920, 1080);
    sight::LensKnowledge knowledge = sight::LensKnowledge::focal_length;
    sight::LensStandard lens_standard = {};
    std::string lens_name;                      ///< of one that was measured; empty else
    double pointing = kBodyPointing;            ///< pixels
    double camera_height = kUsualCameraHeight;  ///< over the plan's height 0
    double air = kUsualAir;        ///< of the part in the air, over what is stood on at the plane
    double around = kUsualAround;  ///< of floor beyond the plan, to each side
    double cell = kUsualCell;      ///< a side of a cell; one of them has the plane's middle in its own
    friend bool operator==(const PlacingWish& a, const PlacingWish& b);
};

/// Puts a measured lens into a wish.
void take_lens(PlacingWish& wish, const meet::CameraLens& lens);
/// How many degrees the wished picture is wide.
[[nodiscard]] double degrees_across(const PlacingWish& wish);

struct Placing {
    PlacingWish wish;
    sight::PlacingPlan plan;
    std::string plane, surface;  ///< names: of the plane, and of what is stood on there
    double away = 0;             ///< between the two, seen from above; 0: they touch
    bool supposed_tape = false;
};

/// The planes that the plan says the place of, in its order.
[[nodiscard]] std::vector<course::PlaneId> planned_planes(const course::CourseBook& book);

/// What is stood on at the plane is the surface with an outline that lies nearest to it; of several that
/// touch it the one on its far side.
/// Errors: bad_input where the book has no plan, the plan no plane or no surface with an outline, or a cell
/// is none, or the part in the air is higher or lower than anything is looked for; not_found where there is
/// no such plane in the plan, naming those there are. What else a map refuses, sight says.
[[nodiscard]] base::Result<Placing> placing_plan(const course::CourseBook& book, const PlacingWish& wish);

}  // namespace plumbmark::review
