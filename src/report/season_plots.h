// What a season looks like (report/plots.h).
#pragma once

#include <vector>

#include "report/compare_plots.h"
#include "report/season_document.h"

namespace plumbmark::report {

/// 'season': the kinds of station over the meets. Files that could not be read have no place in it. Pure; any
/// thread.
[[nodiscard]] std::vector<NamedPlot> season_plots(const SeasonDocument& document);

}  // namespace plumbmark::report
