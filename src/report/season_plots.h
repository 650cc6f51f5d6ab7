// What a season looks like (report/plots.h).
#pragma once

#include <vector>

#include "report/compare_plots.h"
#include "report/season_document.h"

namespace plumbmark::report {

/// The kinds of station over the meets, a row for each, in their order. Files that could not be read have no
/// place in it. Pure; any thread.
[[nodiscard]] SeasonPlot season_plot(const SeasonDocument& document);

/// 'season': that plot. Pure; any thread.
[[nodiscard]] std::vector<NamedPlot> season_plots(const SeasonDocument& document);

}  // namespace plumbmark::report
