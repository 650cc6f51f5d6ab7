// The lenses that a person has measured, as a text file beside their preferences: what was measured once
// serves the next meet. Any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "meet/camera.h"

namespace plumbmark::store {

/// JSON (docs/camera-points.md, 'Lenses that are kept'). Ids are none: a meet gives its own. Error bad_input
/// says what is wrong and where; an empty text is an empty list.
[[nodiscard]] base::Result<std::vector<meet::CameraLens>> read_lenses(std::string_view text);
/// Reads back equal but for ids.
[[nodiscard]] std::string write_lenses(const std::vector<meet::CameraLens>& lenses);

}  // namespace plumbmark::store
