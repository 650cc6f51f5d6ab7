// The scale of a plot in the window.
#pragma once

#include <string>

#include "base/time.h"
#include "desk/internal/gui.h"

namespace plumbmark::desk {

[[nodiscard]] double seconds_of(base::Duration duration);

/// 1, 2 or 5 times a power of ten, so that about 'most' of them cover the span. Pure.
[[nodiscard]] double even_step(double span, double most);

/// "0.5 s", or with the sign "+0.5 s", with as many digits as the step has; in the window's language.
[[nodiscard]] std::string tick_words(double seconds, double step, bool sign);

/// An upright range: a bar across ends what is bounded, an arrow what is not. 'half' the bar's width.
struct UprightRange {
    float x = 0, top = 0, bottom = 0;
    bool top_bounded = true, bottom_bounded = true;
};
void draw_upright_range(ImDrawList* list, const UprightRange& range, float half, float thick, ImU32 colour);

}  // namespace plumbmark::desk
