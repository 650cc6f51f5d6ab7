// From what was pointed at in a clip (meet/camera.h) and the course book's plan to a camera as geometry.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "media/clip_info.h"
#include "meet/changes.h"
#include "sight/calibrate.h"

namespace plumbmark::review {

/// By how much a measure of the plan may be wrong where the plan does not say it (common practice, no source:
/// a tape laid over a deck); whatever rests on it says so.
inline constexpr double kSupposedTape = 0.01;  ///< metres
/// How well a corner is pointed at, and a part of a body, standard deviations in pixels (common practice, no
/// source).
inline constexpr double kCornerPointing = 1.0;
inline constexpr double kBodyPointing = 2.0;

/// A place of the course's plan at which somebody can point.
struct PlanSpot {
    meet::PlanPlace place;
    base::Sentence name;  ///< "coil deck, corner 1", "hawser, upper end"
    sight::Vec3 at;
    double tolerance = 0;  ///< metres
};
/// The corners of the plan's surfaces and the points of its bars and ropes, in the order of the plan. Ends of
/// planes are none: a plane's line has no height. Pure.
[[nodiscard]] std::vector<PlanSpot> plan_spots(const course::CourseBook& book);
/// Whether some of these tolerances are supposed.
[[nodiscard]] bool tape_is_supposed(const course::CourseBook& book);

/// The form of a clip's upright picture.
struct PictureForm {
    int width = 0, height = 0;
    double aspect = 1;      ///< a pixel's width by its height
    int quarter_turns = 0;  ///< of the stored picture, clockwise, to stand upright
    friend bool operator==(const PictureForm&, const PictureForm&) = default;
};
[[nodiscard]] PictureForm form_of(const media::ClipInfo& info);
/// How far down the stored picture a pixel of the upright one lies, 0 for its first row and 1 after its last:
/// a rolling shutter takes rows in this order. Pure.
[[nodiscard]] double row_share(const PictureForm& form, const std::array<double, 2>& at);

/// A camera that was found, and which places it was found from.
struct FoundCamera {
    meet::ClipId clip;
    meet::FrameRef frame;  ///< on which it stands there
    PictureForm form;
    std::vector<PlanSpot> spots;  ///< by index into camera.places
    sight::CalibratedCamera camera;
    bool supposed_tape = false;
    /// A pixel of the upright picture for the camera, whose pixels are square, and back.
    [[nodiscard]] sight::Pixel to_camera(const std::array<double, 2>& at) const {
        return {at[0] * form.aspect, at[1]};
    }
    [[nodiscard]] std::array<double, 2> to_picture(sight::Pixel at) const {
        return {at.x / form.aspect, at.y};
    }
};

/// Takes up to a second or two where something does not fit (the wrong place is looked for). Errors:
/// bad_input where the plan does not have a place that was pointed at, where the lens was measured in
/// pictures of another form, and what sight::calibrate() refuses; cancelled. 'lens': the one that the stand
/// names. Pure; any thread.
[[nodiscard]] base::Result<FoundCamera> found_camera(const meet::CameraStand& stand,
                                                     const course::CourseBook& book,
                                                     const meet::CameraLens* lens, const PictureForm& form,
                                                     const std::stop_token& stop = {});

/// The clip's stand whose still is nearest to a frame; null where it has none.
[[nodiscard]] const meet::CameraStand* nearest_stand(const meet::State& state, meet::ClipId clip,
                                                     std::int64_t frame);
/// The lens that it names; null where it names none.
[[nodiscard]] const meet::CameraLens* lens_of(const meet::State& state, const meet::CameraStand& stand);

/// One change with undo that keeps a stand: it takes the place of the clip's stand of the same frame, where
/// there is one. 'lens', of a measured one: put into the meet where it has no id yet, and named by the stand.
[[nodiscard]] meet::Change kept_stand(const meet::State& state, meet::CameraStand stand,
                                      const std::optional<meet::CameraLens>& lens);
/// One change with undo that takes it away.
[[nodiscard]] meet::Change without_stand(const meet::CameraStand& stand);

/// The lens as geometry, and how well it is known.
[[nodiscard]] sight::Lens geometry_of(const meet::CameraLens& lens);
[[nodiscard]] sight::LensStandard standard_of(const meet::CameraLens& lens);

}  // namespace plumbmark::review
