// A stroke of a printed sheet as SVG, so that a page and paper show the same.
#pragma once

#include <string>

#include "report/internal/paper.h"

namespace plumbmark::report {

/// One element. Words in it are inert text.
[[nodiscard]] std::string stroke_svg(const paper::Stroke& stroke);

}  // namespace plumbmark::report
