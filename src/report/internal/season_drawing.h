// How the stations of a season went, meet by meet.
#pragma once

#include "report/internal/plot_drawing.h"

namespace plumbmark::report {

[[nodiscard]] PlotDrawing season_drawing(const SeasonPlot& plot);

}  // namespace plumbmark::report
