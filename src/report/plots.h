// Small plots of a run laid open, for the athlete's page: how two runs drew apart along the course, the
// rhythm of hands and feet, and the times of the stations; and of a season. Everything is drawn with its
// bounds: what the frames leave open is a range, never a point alone. Shapes, dashes and words say what
// colours say. On white paper.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "media/picture.h"
#include "study/compare.h"
#include "study/rates.h"
#include "study/run_figures.h"

namespace plumbmark::report {

/// By how much run A was behind run B at each event that both have: upwards is lost. A point is a filled disc
/// where the frames show a difference, else a ring; its bar goes from the least to the most. Where one side
/// has no bound, an arrow.
struct SplitPlot {
    struct Point {
        std::string station;       ///< name; neighbours with the same stand under one name; may be empty
        study::Difference behind;  ///< A's time since the anchor minus B's
    };
    std::string a, b;    ///< "run 4", "run 1"
    std::string anchor;  ///< where the two lie over each other: "the start"
    std::vector<Point> points;
};

/// Each beat (study/run_figures.h) as a dot over its bounds, in order: hands as discs, feet as squares, one
/// panel each.
struct RhythmPlot {
    struct Beat {
        std::string station;
        study::Length time;
    };
    std::vector<Beat> hands, feet;
};

/// A bar for each station: filled up to the least, pale from there to the most. Under it, for each that it is
/// held against, a range with a shape of its own.
struct TimesPlot {
    struct Row {
        std::string station;
        study::Length mine;
        std::vector<study::Length> others;  ///< one for each of TimesPlot::others
    };
    std::string mine;                 ///< "run 4"
    std::vector<std::string> others;  ///< "the best of the athlete's other runs"
    std::vector<Row> rows;
};

/// Over the meets of a season, a row of two panels for each kind of station: the share that was cleared with
/// its interval, and the median and the best of the times with their bounds.
struct SeasonPlot {
    struct At {
        std::size_t meet = 0;  ///< of SeasonPlot::meets
        study::Rate cleared;
        study::Length best, median;
    };
    struct Row {
        std::string station;
        std::vector<At> at;  ///< in the order of the meets; those without it are left out
    };
    std::vector<std::string> meets;  ///< their days, the earliest first
    std::vector<Row> rows;
    double confidence = 0;  ///< of the intervals
};

using Plot = std::variant<SplitPlot, RhythmPlot, TimesPlot, SeasonPlot>;

/// Whether there is anything to draw; else the drawing is one sentence that says why there is nothing.
[[nodiscard]] bool has_anything(const Plot& plot);

/// What it shows, for who cannot see it. Printable (internal/plain.h), in English as all of the drawing.
[[nodiscard]] std::string plot_says(const Plot& plot);

/// An <svg> element that needs nothing but itself; names are inert text. The same plot gives the same bytes.
/// Pure; any thread.
[[nodiscard]] std::string plot_svg(const Plot& plot);

/// The same as a picture, 'scale' pixels for each unit of the drawing (680 units wide), 0.25 to 8. Errors:
/// bad_input (another scale), io (it cannot be drawn: memory is short). Any thread.
[[nodiscard]] base::Result<media::RgbaImage> plot_picture(const Plot& plot, double scale = 2);

}  // namespace plumbmark::report
