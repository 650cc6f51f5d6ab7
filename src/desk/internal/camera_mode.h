// Pointing at the plan's places, one after the other, so that it is found where the clip's camera stands; and
// pointing at a mark's own place.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "desk/internal/camera_state.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// Begins to point at the places of the book's plan in the picture on the screen, with what is pointed at
/// there already ('stored': the stand of this very frame; none: there is none).
void begin_camera(PicturesView& view, const course::CourseBook& book, meet::ClipId clip,
                  const meet::FrameRef& frame, const std::optional<meet::CameraStand>& stored,
                  std::vector<meet::CameraLens> lenses);

/// A key press in that mode. True when it was used. 'found': the camera of what is pointed at so far, if any.
bool camera_key(PicturesView& view, const CameraDesk& camera, int key, int mods, Commands& commands);
/// A key press while a mark's own place is pointed at.
bool point_key(PicturesView& view, int key, int mods, Commands& commands);

/// Goes on to the next place that is not pointed at yet, and moves the cross to where it would be seen.
void ask_next(CameraMode& mode, const CameraDesk& camera);
/// Asks for this place.
void ask_for(CameraMode& mode, int spot, const CameraDesk& camera);

/// What Enter does now, for the line of help.
[[nodiscard]] std::string camera_enter_words(const CameraMode& mode);
/// "focal length to be found", "lens 'phone at the pier end'".
[[nodiscard]] std::string lens_words(const CameraMode& mode);

}  // namespace plumbmark::desk
