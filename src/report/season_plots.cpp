#include "report/season_plots.h"

namespace plumbmark::report {

SeasonPlot season_plot(const SeasonDocument& document) {
    SeasonPlot plot;
    plot.confidence = document.confidence;
    std::vector<std::size_t> place(document.files.size());
    for (std::size_t i = 0; i < document.files.size(); ++i) {
        const SeasonFile& file = document.files[i];
        place[i] = plot.meets.size();
        if (!file.error) plot.meets.push_back(file.date.empty() ? file.meet : file.date);
    }
    for (const SeasonStation& station : document.stations) {
        SeasonPlot::Row row;
        row.station = station.name;
        for (const SeasonStationAt& one : station.by_file) {
            const auto cleared = study::rate(one.cleared, document.confidence);
            row.at.push_back(
                {place[one.file], cleared ? *cleared : study::Rate{}, one.times.best, one.times.median});
        }
        plot.rows.push_back(std::move(row));
    }
    return plot;
}

std::vector<NamedPlot> season_plots(const SeasonDocument& document) {
    return {{"season", season_plot(document)}};
}

}  // namespace plumbmark::report
