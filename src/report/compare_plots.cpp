#include "report/compare_plots.h"

#include "report/internal/athlete_parts.h"

namespace plumbmark::report {

std::vector<NamedPlot> compare_plots(const CompareDocument& document) {
    if (document.two) return {{"split", page_split(document).plot}};
    return {{"times", times_plot(document)}, {"rhythm", rhythm_plot(document)}};
}

}  // namespace plumbmark::report
