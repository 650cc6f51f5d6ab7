#include "report/internal/season_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

using Shape = PlotPen::Shape;

constexpr double kLeft = 46, kBetween = 54, kRight = 10, kHigh = 92;
constexpr double kWide = (PlotPen::kWidth - kLeft - kBetween - kRight) / 2;

double seconds(base::Duration d) {
    return static_cast<double>(d.ns) / 1e9;
}

/// One of the two panels of a row: the meets side by side, a value upwards.
class Panel {
  public:
    Panel(PlotPen& pen, double left, double top, const PlotAxis& axis, const std::vector<std::string>& meets)
        : pen_(pen), left_(left), top_(top), axis_(axis), meets_(meets) {}

    [[nodiscard]] double x(std::size_t meet) const {
        return left_ + (static_cast<double>(meet) + 0.5) * kWide / static_cast<double>(meets_.size());
    }
    [[nodiscard]] double y(double value) const {
        return top_ + kHigh * (axis_.high - value) / (axis_.high - axis_.low);
    }

    /// Lines with their numbers, and the days below, as many as have room.
    void ground() {
        pen_.upright_axis({left_, top_, kWide, kHigh}, axis_, false);
        double widest = 0;
        for (const std::string& day : meets_)
            widest = std::max(widest, PlotPen::width_of(plain(day), PlotPen::kSmall));
        const double each = kWide / static_cast<double>(meets_.size());
        const auto every = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil((widest + 8) / each)));
        for (std::size_t i = 0; i < meets_.size(); i += every)
            pen_.words({x(i), top_ + kHigh + 12}, plain(meets_[i]), 0, PlotPen::kSmall, PlotPen::kQuiet);
    }

    void cleared(const SeasonPlot::At& at) {
        if (!at.cleared.share) return;
        pen_.upright_range(x(at.meet),
                           {y(at.cleared.wilson.low), y(at.cleared.wilson.high), false, false, false},
                           PlotPen::kInk);
        pen_.shape(Shape::disc, {x(at.meet), y(*at.cleared.share)}, 3, PlotPen::kBlue);
    }
    /// Beside each other, so that neither hides the other.
    void times(const SeasonPlot::At& at) {
        time(x(at.meet) - kAside, at.median, Shape::disc, PlotPen::kBlue);
        time(x(at.meet) + kAside, at.best, Shape::square, PlotPen::kRed);
    }

  private:
    static constexpr double kAside = 4;
    void time(double at, const study::Length& time, Shape shape, const char* colour) {
        if (!time.low && !time.high) return;
        PlotPen::Range range;
        range.from = time.low ? y(seconds(*time.low)) : top_ + kHigh;
        range.to = time.high ? y(seconds(*time.high)) : top_;
        range.open_from = !time.low;
        range.open_to = !time.high;
        range.doubt = time.doubt.any();
        pen_.upright_range(at, range, PlotPen::kInk);
        if (time.low && time.high)
            pen_.shape(shape, {at, y((seconds(*time.low) + seconds(*time.high)) / 2)}, 2.4, colour);
    }

    PlotPen& pen_;
    double left_, top_;
    const PlotAxis& axis_;
    const std::vector<std::string>& meets_;
};

/// The axis of a station's times: the longest that is told.
PlotAxis times_axis(const SeasonPlot::Row& row) {
    double most = 0;
    for (const SeasonPlot::At& at : row.at)
        for (const study::Length* time : {&at.best, &at.median})
            for (const auto& end : {time->low, time->high})
                if (end) most = std::max(most, seconds(*end));
    return plot_axis(0, most, 4);
}

void legend(PlotPen& pen, const SeasonPlot& plot, double y) {
    const double right = kLeft + kWide + kBetween;
    pen.shape(Shape::disc, {kLeft + 4, y - 3.4}, 3, PlotPen::kBlue);
    pen.words({kLeft + 12, y},
              fmt::format("share cleared of those shown; bars: {:.0f} % (Wilson)", 100 * plot.confidence), -1,
              PlotPen::kSmall);
    pen.shape(Shape::disc, {right + 4, y - 3.4}, 2.4, PlotPen::kBlue);
    pen.words({right + 12, y}, "median", -1, PlotPen::kSmall);
    pen.shape(Shape::square, {right + 60, y - 3.4}, 2.4, PlotPen::kRed);
    pen.words({right + 68, y}, "best; bars: from the least to the most", -1, PlotPen::kSmall);
}

}  // namespace

PlotDrawing season_drawing(const SeasonPlot& plot) {
    PlotPen pen;
    double y = 14;
    const PlotAxis share{0, 1, 0.2};
    for (const SeasonPlot::Row& row : plot.rows) {
        const double right = kLeft + kWide + kBetween;
        pen.words({kLeft, y}, plain(row.station) + ": share cleared", -1, PlotPen::kLetters, PlotPen::kInk,
                  kWide);
        pen.words({right, y}, "time, seconds", -1, PlotPen::kLetters, PlotPen::kInk, kWide);
        Panel cleared(pen, kLeft, y + 10, share, plot.meets);
        cleared.ground();
        const PlotAxis axis = times_axis(row);
        Panel times(pen, right, y + 10, axis, plot.meets);
        times.ground();
        for (const SeasonPlot::At& at : row.at) {
            cleared.cleared(at);
            times.times(at);
        }
        y += kHigh + 44;
    }
    legend(pen, plot, y);
    return pen.finish(y + 8);
}

}  // namespace plumbmark::report
