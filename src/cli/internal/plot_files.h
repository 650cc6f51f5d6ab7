// Plots into files.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "report/compare_plots.h"

namespace plumbmark::cli {

/// Each plot as SVG and as PNG by its name, into a folder that is made where it is missing. Errors: io, with
/// the path.
[[nodiscard]] base::Result<void> write_plots(const std::vector<report::NamedPlot>& plots,
                                             const std::string& folder);

}  // namespace plumbmark::cli
