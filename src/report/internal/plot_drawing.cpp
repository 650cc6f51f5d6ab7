#include "report/internal/plot_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/internal/plain.h"
#include "report/internal/season_drawing.h"
#include "report/laid_open.h"

namespace plumbmark::report {
namespace {

using Point = PlotPen::Point;
using Shape = PlotPen::Shape;
using study::Told;

constexpr double kLeft = 46, kRight = 10, kTop = 14;
constexpr double kInner = PlotPen::kWidth - kLeft - kRight;

double seconds(base::Duration d) {
    return static_cast<double>(d.ns) / 1e9;
}

PlotDrawing only_words(const std::string& words) {
    PlotPen pen;
    pen.words({8, 22}, words, -1, PlotPen::kLetters, PlotPen::kQuiet);
    return pen.finish(34);
}

/// The values that an axis has to hold.
struct Extent {
    double low = 0, high = 0;
    void take(const std::optional<base::Duration>& end) {
        if (!end) return;
        low = std::min(low, seconds(*end));
        high = std::max(high, seconds(*end));
    }
};

/// A panel with places side by side, one for each event, and seconds upwards.
class Panel {
  public:
    Panel(PlotPen& pen, double top, double height, const PlotAxis& axis, std::size_t places)
        : pen_(pen), top_(top), height_(height), axis_(axis), places_(std::max<std::size_t>(1, places)) {}

    [[nodiscard]] double x(std::size_t place) const {
        return kLeft + (static_cast<double>(place) + 0.5) * kInner / static_cast<double>(places_);
    }
    [[nodiscard]] double y(double value) const {
        return top_ + height_ * (axis_.high - value) / (axis_.high - axis_.low);
    }
    [[nodiscard]] double foot() const { return top_ + height_; }

    void grid(bool sign) { pen_.upright_axis({kLeft, top_, kInner, height_}, axis_, sign); }

    /// Numbers under the places, and the stations under them with a line between two.
    void below(const std::vector<std::string>& stations) {
        const auto every = std::max<std::size_t>(
            1, static_cast<std::size_t>(std::ceil(18 * static_cast<double>(stations.size()) / kInner)));
        for (std::size_t i = 0; i < stations.size(); ++i)
            if (i % every == 0)
                pen_.words({x(i), foot() + 12}, std::to_string(i + 1), 0, PlotPen::kSmall, PlotPen::kQuiet);
        for (std::size_t from = 0, to = 0; from < stations.size(); from = to) {
            for (to = from; to < stations.size() && stations[to] == stations[from]; ++to) {
            }
            const double half = kInner / static_cast<double>(places_) / 2;
            if (from > 0)
                pen_.line({{x(from) - half, top_}, {x(from) - half, foot() + 28}}, 0.8, PlotPen::kFaint)
                    .dashes = {2, 2};
            pen_.words({(x(from) + x(to - 1)) / 2, foot() + 26}, stations[from], 0, PlotPen::kSmall,
                       PlotPen::kInk, x(to - 1) - x(from) + 2 * half - 6);
        }
    }

    /// A range at a place; open ends reach to the panel's edge. Nothing known: a question mark.
    void range(std::size_t place, const std::optional<base::Duration>& low,
               const std::optional<base::Duration>& high, bool doubt, const char* colour) {
        if (!low && !high) {
            pen_.words({x(place), y(std::max(0.0, axis_.low)) - 4}, "?", 0, PlotPen::kLetters,
                       PlotPen::kQuiet);
            return;
        }
        PlotPen::Range range;
        range.from = low ? y(seconds(*low)) : foot();
        range.to = high ? y(seconds(*high)) : top_;
        range.open_from = !low;
        range.open_to = !high;
        range.doubt = doubt;
        pen_.upright_range(x(place), range, colour);
    }

  private:
    PlotPen& pen_;
    double top_, height_;
    const PlotAxis& axis_;
    std::size_t places_;
};

// --- along the course ---

using SplitPoints = std::vector<SplitPlot::Point>;

/// Pale ground between the least and the most, wherever neighbours have both, and a line through the middles.
void split_band(PlotPen& pen, const Panel& panel, const SplitPoints& points) {
    for (std::size_t from = 0, to = 0; from < points.size(); from = std::max(to, from + 1)) {
        std::vector<Point> band, middles;
        for (to = from; to < points.size() && points[to].behind.middle(); ++to) {
            band.push_back({panel.x(to), panel.y(seconds(*points[to].behind.high))});
            middles.push_back({panel.x(to), panel.y(seconds(*points[to].behind.middle()))});
        }
        if (to - from < 2) continue;
        for (std::size_t i = to; i-- > from;)
            band.push_back({panel.x(i), panel.y(seconds(*points[i].behind.low))});
        pen.area(std::move(band), PlotPen::kPaleBlue);
        pen.line(std::move(middles), 1.5, PlotPen::kBlue);
    }
}

PlotDrawing draw(const SplitPlot& plot) {
    constexpr double kHeight = 170;
    Extent extent;
    for (const SplitPlot::Point& point : plot.points) {
        extent.take(point.behind.low);
        extent.take(point.behind.high);
    }
    const PlotAxis axis = plot_axis(extent.low, extent.high, 6);
    PlotPen pen;
    pen.words({kLeft, kTop}, "seconds by which " + plain(plot.a) + " is behind " + plain(plot.b), -1,
              PlotPen::kLetters, PlotPen::kInk, kInner);
    Panel panel(pen, kTop + 12, kHeight, axis, plot.points.size());
    // The band lies under the grid, so that numbers can be read off through it.
    split_band(pen, panel, plot.points);
    panel.grid(true);
    std::vector<std::string> stations;
    for (std::size_t i = 0; i < plot.points.size(); ++i) {
        const study::Difference& behind = plot.points[i].behind;
        if (const auto middle = behind.middle()) {
            const Told told = behind.told();
            const bool shown = told == Told::longer || told == Told::shorter;
            pen.shape(shown ? Shape::disc : Shape::ring, {panel.x(i), panel.y(seconds(*middle))}, 3.2,
                      PlotPen::kBlue);
        }
        panel.range(i, behind.low, behind.high, behind.doubt.any(), PlotPen::kInk);
        stations.push_back(plot.points[i].station);
    }
    panel.below(stations);
    const double y = panel.foot() + 45;
    pen.shape(Shape::disc, {kLeft + 4, y - 3.4}, 3.2, PlotPen::kBlue);
    pen.words({kLeft + 12, y}, "a difference is shown", -1, PlotPen::kSmall);
    pen.shape(Shape::ring, {kLeft + 144, y - 3.4}, 3.2, PlotPen::kBlue);
    pen.words({kLeft + 152, y}, "no difference that these frames can show", -1, PlotPen::kSmall);
    pen.words({kLeft + kInner, y}, "bars: from the least to the most; dashed: in doubt", 1, PlotPen::kSmall);
    return pen.finish(y + 8);
}

// --- rhythm ---

using Beats = std::vector<RhythmPlot::Beat>;

double rhythm_panel(PlotPen& pen, double top, const char* name, const Beats& beats, const PlotAxis& axis,
                    Shape shape, const char* colour) {
    constexpr double kHeight = 92;
    pen.shape(shape, {kLeft + 4, top - 3.4}, 3, colour);
    if (beats.empty()) {
        pen.words({kLeft + 12, top}, std::string(name) + ": no two touches follow each other in a station",
                  -1);
        return top + 8;
    }
    pen.words({kLeft + 12, top}, std::string(name) + ": seconds from one touch to the next", -1);
    Panel panel(pen, top + 10, kHeight, axis, beats.size());
    panel.grid(false);
    std::vector<std::string> stations;
    for (std::size_t i = 0; i < beats.size(); ++i) {
        const study::Length& time = beats[i].time;
        if (time.known())
            pen.shape(shape, {panel.x(i), panel.y((seconds(*time.low) + seconds(*time.high)) / 2)}, 2.4,
                      colour);
        panel.range(i, time.low, time.high, time.doubt.any(), PlotPen::kInk);
        stations.push_back(beats[i].station);
    }
    panel.below(stations);
    return panel.foot() + 30;
}

PlotDrawing draw(const RhythmPlot& plot) {
    Extent extent;
    for (const Beats* beats : {&plot.hands, &plot.feet})
        for (const RhythmPlot::Beat& beat : *beats) {
            extent.take(beat.time.low);
            extent.take(beat.time.high);
        }
    const PlotAxis axis = plot_axis(0, extent.high, 4);
    PlotPen pen;
    double y = rhythm_panel(pen, kTop, "hands", plot.hands, axis, Shape::disc, PlotPen::kBlue);
    y = rhythm_panel(pen, y + 18, "feet", plot.feet, axis, Shape::square, PlotPen::kRed);
    pen.words({kLeft, y + 14}, "bars: from the least to the most; dashed: in doubt; arrow: no bound there",
              -1, PlotPen::kSmall);
    return pen.finish(y + 22);
}

// --- times of the stations ---

constexpr std::array kOtherShapes{Shape::diamond, Shape::triangle, Shape::square, Shape::disc};

struct TimesPen {
    static constexpr double kNames = 128, kFigures = 112;
    static constexpr double kBarsFrom = kNames + 8, kBarsTo = PlotPen::kWidth - kFigures - 8;

    PlotPen pen;
    PlotAxis axis;

    [[nodiscard]] double x(double value) const {
        return kBarsFrom + (kBarsTo - kBarsFrom) * (value - axis.low) / (axis.high - axis.low);
    }
    [[nodiscard]] double end(const std::optional<base::Duration>& high) const {
        return high ? x(seconds(*high)) : kBarsTo;
    }

    void bar(double y, const study::Length& time) {
        constexpr double kHalf = 5.5;
        figure(y, time, true);
        if (!time.low) return;
        const double low = x(seconds(*time.low)), high = end(time.high);
        const auto box = [&](double from, double to) {
            return std::vector<Point>{{from, y - kHalf}, {to, y - kHalf}, {to, y + kHalf}, {from, y + kHalf}};
        };
        pen.area(box(low, high), PlotPen::kPaleBlue);
        pen.area(box(kBarsFrom, low), PlotPen::kBlue);
        pen.level_range(y, {low, high, false, !time.high, time.doubt.any()}, PlotPen::kInk);
    }
    void other(double y, const study::Length& time, std::size_t which) {
        figure(y, time, false);
        if (!time.low) return;
        const double low = x(seconds(*time.low)), high = end(time.high);
        pen.level_range(y, {low, high, false, !time.high, time.doubt.any()}, PlotPen::kQuiet);
        pen.shape(kOtherShapes[which % kOtherShapes.size()], {(low + high) / 2, y}, 3, PlotPen::kRed);
    }
    void figure(double y, const study::Length& time, bool mine) {
        pen.words({PlotPen::kWidth - 4, y + 3.5}, length_words(time).english(), 1,
                  mine ? PlotPen::kLetters : PlotPen::kSmall, mine ? PlotPen::kInk : PlotPen::kQuiet,
                  kFigures);
    }
    void grid(double top, double foot) {
        const auto steps = static_cast<int>(std::lround((axis.high - axis.low) / axis.step));
        for (int i = 0; i <= steps; ++i) {
            const double value = axis.low + i * axis.step;
            pen.line({{x(value), top}, {x(value), foot}}, i == 0 ? 1.1 : 0.6,
                     i == 0 ? PlotPen::kInk : PlotPen::kFaint);
            pen.words({x(value), foot + 12}, axis.number(value, false), 0, PlotPen::kSmall, PlotPen::kQuiet);
        }
        pen.words({PlotPen::kWidth - 4, foot + 12}, "seconds", 1, PlotPen::kSmall, PlotPen::kQuiet);
    }
};

double times_legend(PlotPen& pen, const TimesPlot& plot, double y) {
    const double at = TimesPen::kBarsFrom;
    pen.area({{at, y - 8}, {at + 14, y - 8}, {at + 14, y}, {at, y}}, PlotPen::kBlue);
    pen.area({{at + 14, y - 8}, {at + 24, y - 8}, {at + 24, y}, {at + 14, y}}, PlotPen::kPaleBlue);
    pen.words({at + 30, y},
              plain(plot.mine) + ": dark up to the least, pale up to the most; dashed: in doubt", -1,
              PlotPen::kSmall);
    for (std::size_t k = 0; k < plot.others.size(); ++k) {
        y += 15;
        pen.shape(kOtherShapes[k % kOtherShapes.size()], {at + 12, y - 3.4}, 3, PlotPen::kRed);
        pen.words({at + 30, y}, plain(plot.others[k]) + ", from the least to the most", -1, PlotPen::kSmall,
                  PlotPen::kInk, PlotPen::kWidth - at - 34);
    }
    return y;
}

PlotDrawing draw(const TimesPlot& plot) {
    constexpr double kRow = 17, kOther = 13, kBetween = 7;
    Extent extent;
    for (const TimesPlot::Row& row : plot.rows) {
        extent.take(row.mine.low);
        extent.take(row.mine.high);
        for (const study::Length& other : row.others) {
            extent.take(other.low);
            extent.take(other.high);
        }
    }
    TimesPen times;
    times.axis = plot_axis(0, extent.high, 8);
    double foot = 6;
    for (const TimesPlot::Row& row : plot.rows)
        foot += kRow + kOther * static_cast<double>(row.others.size()) + kBetween;
    times.grid(4, foot);
    double y = 6;
    for (const TimesPlot::Row& row : plot.rows) {
        times.pen.words({4, y + kRow / 2 + 3.5}, row.station, -1, PlotPen::kLetters, PlotPen::kInk,
                        TimesPen::kNames);
        times.bar(y + kRow / 2, row.mine);
        y += kRow;
        for (std::size_t k = 0; k < row.others.size(); ++k, y += kOther)
            times.other(y + kOther / 2, row.others[k], k);
        y += kBetween;
    }
    return times.pen.finish(times_legend(times.pen, plot, foot + 34) + 8);
}

bool any(const SplitPlot& plot) {
    return std::any_of(plot.points.begin(), plot.points.end(),
                       [](const auto& point) { return point.behind.low || point.behind.high; });
}
bool any(const RhythmPlot& plot) {
    return !plot.hands.empty() || !plot.feet.empty();
}
bool any(const TimesPlot& plot) {
    return std::any_of(plot.rows.begin(), plot.rows.end(), [](const TimesPlot::Row& row) {
        return row.mine.low || std::any_of(row.others.begin(), row.others.end(),
                                           [](const study::Length& other) { return other.low.has_value(); });
    });
}

bool any(const SeasonPlot& plot) {
    return std::any_of(plot.rows.begin(), plot.rows.end(), [](const auto& row) { return !row.at.empty(); });
}

std::string says(const SplitPlot& plot) {
    if (!any(plot)) return "The two runs have no event in common of which these frames can tell the time.";
    return fmt::format("By how many seconds {} is behind {} at each of {} events that both have, from {} on",
                       plain(plot.a), plain(plot.b), plot.points.size(), plain(plot.anchor));
}
std::string says(const RhythmPlot& plot) {
    if (!any(plot)) return "In no station do two touches of a hand or of a foot follow each other.";
    return fmt::format("How long each beat was, of {} of the hands and {} of the feet", plot.hands.size(),
                       plot.feet.size());
}
std::string says(const TimesPlot& plot) {
    if (!any(plot)) return "No station of this run has a time.";
    return fmt::format("The times of {} stations", plot.rows.size());
}

std::string says(const SeasonPlot& plot) {
    if (!any(plot)) return "No station of these runs was reached.";
    return fmt::format("The share cleared and the times of {} kinds of station over {} meets",
                       plot.rows.size(), plot.meets.size());
}
PlotDrawing draw(const SeasonPlot& plot) {
    return season_drawing(plot);
}

}  // namespace

bool has_anything(const Plot& plot) {
    return std::visit([](const auto& one) { return any(one); }, plot);
}

std::string plot_says(const Plot& plot) {
    return std::visit([](const auto& one) { return says(one); }, plot);
}

PlotDrawing plot_drawing(const Plot& plot) {
    if (!has_anything(plot)) return only_words(plot_says(plot));
    return std::visit([](const auto& one) { return draw(one); }, plot);
}

}  // namespace plumbmark::report
