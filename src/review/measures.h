// Marks measured in the world: what was pointed at, through the camera that was found, against the planes of
// the course's plan; in words for the window and the sheet.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "meet/changes.h"
#include "review/camera_stands.h"
#include "sight/measure.h"

namespace plumbmark::review {

/// A part in the air may be this far above the highest surface that is stood on, and this far beyond the ends
/// of a plane's line, metres (common practice, no source); and down to height 0, or to the plan's lowest.
inline constexpr double kAboveSurfaces = 2.8;
inline constexpr double kBesidePlane = 0.5;
/// A contact is measured against the planes that lie no further from it than this, metres.
inline constexpr double kNearPlane = 3;

/// Gives the camera of a clip at a frame; null where nobody has said where it stands, or it moved away.
using CameraAt = std::function<const FoundCamera*(meet::ClipId, const meet::FrameRef&)>;

enum class MeasuredHow : std::uint8_t {
    on_surface,   ///< a contact: the line of sight meets the surface
    in_the_air,   ///< one camera: a range
    seen_by_two,  ///< two cameras: a place
};

struct Measured {
    meet::MarkId mark;
    MeasuredHow how = MeasuredHow::on_surface;
    std::string plane, surface;          ///< keys; no surface but of MeasuredHow::on_surface
    std::vector<meet::Pointed> pointed;  ///< what was measured: one point, or one of each camera
    sight::Distance distance;
    std::optional<sight::Position> position;  ///< not of one camera and the air
    base::Sentence says;      ///< "41 mm past front plane of the gantry deck, 95 % between 22 and 60 mm past"
    base::Sentence rests_on;  ///< what it rests on, a sentence
};

struct MarkMeasures {
    std::vector<Measured> found;
    std::vector<base::Error> troubles;  ///< why something that was pointed at could not be measured
};

/// Where a mark was pointed at: what was pointed to be measured, else its spot on the frame on which it was
/// marked.
[[nodiscard]] std::vector<meet::Pointed> pointed_of(const meet::Mark& mark);

/// Touches and releases on a surface with an outline in the plan, against the planes near them; crossings of
/// a plane of the plan, by two cameras where it was pointed at in two clips, else by each one alone. Nothing
/// where the plan has no planes, or nothing was pointed at, or no camera stands. Pure but for 'camera_at'; a
/// few tens of milliseconds a plane.
[[nodiscard]] MarkMeasures measures_of(const meet::State& state, const meet::Mark& mark,
                                       const course::CourseBook& book, const CameraAt& camera_at);

/// The plan's plane for a camera that was found: an end that is one of its places is taken as the pictures
/// have bettered it. Nothing where the plan does not say where the plane is.
[[nodiscard]] std::optional<sight::UprightPlane> plane_for(const course::CourseBook& book,
                                                           course::PlaneId plane, const FoundCamera& camera);
/// The height of a surface with an outline, in the same way: as its corners say that the camera was found
/// from.
[[nodiscard]] sight::Level level_for(const course::CourseBook& book, const course::SurfacePlan& surface,
                                     const FoundCamera& camera);
/// Where a part in the air may be, about a plane.
[[nodiscard]] sight::Space space_about(const course::CourseBook& book, course::PlaneId plane);

/// "41 mm", "1.24 m".
[[nodiscard]] std::string length_words(double metres);
/// What a distance says, without what it rests on: 'plane' is its name.
[[nodiscard]] base::Sentence distance_words(const sight::Distance& distance, const std::string& plane);

}  // namespace plumbmark::review
