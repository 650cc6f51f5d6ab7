// Words as pictures: names in scripts that a simple glyph table cannot show (shaping, right to left, many
// glyphs).
#pragma once

#include <array>
#include <cstdint>
#include <string>

#include "base/result.h"
#include "media/picture.h"

namespace plumbmark::report {

/// Draws one line of text in any script, in Inter where it has the letters, else Noto, else DejaVu, else what
/// the system has; digits all of one width. 'pixel_height' is the font's size (em) in pixels, 4 to 512; the
/// picture is as high as the line needs and as wide as the text, transparent where there is no ink. 'rgba' is
/// straight (not multiplied by alpha), and so are the pixels: rows from the top, four bytes each. Line breaks
/// and control characters are drawn as spaces; an empty text gives a picture 1 pixel wide.
///
/// Errors: bad_input for text that is not UTF-8, a size out of range, or a line wider than 16,384 pixels.
/// Threads: any, and several at once; each thread keeps its own font map, so its first call takes longer
/// (some 100 ms).
[[nodiscard]] base::Result<media::RgbaImage> draw_text(const std::string& utf8, double pixel_height,
                                                       std::array<std::uint8_t, 4> rgba);

/// How many characters no installed font can draw (each is drawn as a box). The same errors and thread rules,
/// for the text alone.
[[nodiscard]] base::Result<int> missing_glyphs(const std::string& utf8);

}  // namespace plumbmark::report
