// Drawing a surface's outline or a plane's line over the picture, by mouse and by keys.
#pragma once

#include <string>

#include "desk/internal/following_desk.h"
#include "desk/internal/state.h"

namespace plumbmark::desk {

/// Begins to draw, or to mend what is drawn already on the current clip, from where it lies in this picture.
/// In the middle of a drawing it gives what was drawn so far the new name.
void begin_drawing(PicturesView& view, meet::DrawingKind kind, const std::string& key,
                   const std::optional<PlacedDrawing>& stored);

/// A key press in drawing mode. True when it was used; others keep their usual meaning (stepping with the
/// arrows does not, going to other frames and zooming do).
bool drawing_key(PicturesView& view, const review::Session& session, int key, int mods, Commands& commands);

/// What Enter does now, for the line of help: "set the first point", "keep it" ...
[[nodiscard]] std::string drawing_enter_words(const DrawingMode& drawing);

/// Ends the line or outline when it has enough points; a plane gets a far side to begin with.
void close_drawing(DrawingMode& drawing);

}  // namespace plumbmark::desk
