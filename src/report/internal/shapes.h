// The shapes that say a verdict without colour: filled disc CLEAR, filled square FAIL, open diamond NOT
// SHOWN, dash NOT REACHED. Colours are Okabe and Ito's (Color Universal Design, 2008), and they fill shapes,
// never words.
#pragma once

#include <string>

#include "course/parts.h"
#include "ruling/ruling.h"

namespace plumbmark::report {

/// An inline SVG of 14 x 14 units, hidden from screen readers since the word stands beside it.
[[nodiscard]] std::string verdict_shape(ruling::Verdict verdict);

/// The colour of a limb's marks: blues on the left, purples on the right, grey for the rest.
[[nodiscard]] const char* limb_colour(course::Part part);

/// The letters that say it again: "LF" for the left foot, "RH" for the right hand, "O" for another part of
/// the body, "G" for what is loose (gear, hair, clothing).
[[nodiscard]] const char* limb_letters(course::Part part);

}  // namespace plumbmark::report
