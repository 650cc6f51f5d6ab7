// How a form is drawn.
#pragma once

#include "desk/form.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// Draws the fields below each other into the current window, from the top left of 'box' on; returns the
/// height used. A click on a field is TakeLine.
float draw_form(const Scene& scene, const Box& box, const Form& form);

/// Broken lines of words; returns the height used.
float draw_words(const Look& look, ImFont* font, const Box& box, Colour colour, const std::string& words);

}  // namespace plumbmark::desk
