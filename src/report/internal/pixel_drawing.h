// What is drawn on pixels, not on paper: how letters stand on their grid, and how the picture is taken out.
#pragma once

#include "media/picture.h"
#include "report/internal/pango_objects.h"

namespace plumbmark::report {

/// Letters in grey, no metrics moved to whole pixels. Pango's default font map belongs to the calling thread
/// (since 1.32.6), so no lock is needed.
[[nodiscard]] OwnedByUs<PangoContext> pixel_text_context();

/// Of a surface that was flushed and is all opaque: the upper left 'width' x 'height' pixels.
[[nodiscard]] media::RgbaImage opaque_picture(cairo_surface_t* surface, int width, int height);

}  // namespace plumbmark::report
