#include "cli/internal/plot_files.h"

#include <filesystem>

#include "base/worded.h"
#include "cli/internal/common.h"
#include "media/still.h"

namespace plumbmark::cli {

base::Result<void> write_plots(const std::vector<report::NamedPlot>& plots, const std::string& folder) {
    std::error_code problem;
    std::filesystem::create_directories(folder, problem);
    if (problem)
        return base::Error{base::Category::io,
                           base::worded("The folder for the plots could not be made: {}.", problem.message()),
                           folder};
    for (const report::NamedPlot& one : plots) {
        const std::string name = (std::filesystem::path(folder) / one.name).string();
        if (auto written = write_file(name + ".svg", report::plot_svg(one.plot)); !written) return written;
        const auto picture = report::plot_picture(one.plot);
        if (!picture) return picture.error();
        const auto png = media::encode_png(*picture);
        if (!png) return png.error();
        if (auto written = write_file(name + ".png", std::string(png->begin(), png->end())); !written)
            return written;
    }
    return {};
}

}  // namespace plumbmark::cli
