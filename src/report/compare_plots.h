// What a comparison of runs looks like (report/plots.h), each plot under a name for a file of its own.
#pragma once

#include <string>
#include <vector>

#include "report/compare_document.h"
#include "report/plots.h"

namespace plumbmark::report {

struct NamedPlot {
    std::string name;  ///< lower-case letters: "split"
    Plot plot;
};

/// Of two runs 'split', how they drew apart along the course; of one 'times', against what it is held
/// against, and 'rhythm'. Plots in which there is nothing to draw as well: they say why. Pure; any thread.
[[nodiscard]] std::vector<NamedPlot> compare_plots(const CompareDocument& document);

}  // namespace plumbmark::report
