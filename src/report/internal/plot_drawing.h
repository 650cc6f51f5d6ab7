// Plots as strokes, so that a page, paper and a picture show the same.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "report/internal/paper.h"
#include "report/plots.h"

namespace plumbmark::report {

struct PlotDrawing {
    int width = 0, height = 0;
    std::vector<paper::Stroke> strokes;  ///< in the order in which they are drawn
};

[[nodiscard]] PlotDrawing plot_drawing(const Plot& plot);

/// Whole steps along an axis of seconds that holds these values, none closer than 'least' to the next.
struct PlotAxis {
    double low = 0, high = 1, step = 1;  ///< seconds; low and high are whole steps
    [[nodiscard]] int decimals() const;
    /// "0.25", "+0.25", "-1"; 'sign': with a plus where it is more than nothing.
    [[nodiscard]] std::string number(double value, bool sign) const;
};
/// What plots are drawn with: lines, whiskers, shapes and words, in the drawing's own units.
class PlotPen {
  public:
    using Point = std::array<double, 2>;
    static constexpr double kWidth = 680, kLetters = 10.5, kSmall = 9.5;
    static constexpr const char* kInk = "#1d1f21";
    static constexpr const char* kQuiet = "#45484b";
    static constexpr const char* kFaint = "#cfcbc2";
    /// Okabe and Ito's blue and vermilion (Color Universal Design, 2008), and the blue made pale.
    static constexpr const char* kBlue = "#0072B2";
    static constexpr const char* kPaleBlue = "#c9e0ee";
    static constexpr const char* kRed = "#B34700";

    enum class Shape { disc, ring, square, diamond, triangle };

    paper::Stroke& line(std::vector<Point> points, double width, const char* colour);
    void area(std::vector<Point> points, const char* fill);
    void shape(Shape shape, const Point& at, double size, const char* colour);
    /// 'anchor' as Stroke has it; the text is cut short where it is wider than 'room' (0: as long as it is).
    void words(const Point& baseline, const std::string& text, int anchor, double size = kLetters,
               const char* colour = kInk, double room = 0);
    /// From one end of the range to the other with a short bar at each; dashed where it is in doubt. An end
    /// that is open is an arrow.
    struct Range {
        double from = 0, to = 0;
        bool open_from = false, open_to = false, doubt = false;
    };
    void upright_range(double x, const Range& range, const char* colour);
    void level_range(double y, const Range& range, const char* colour);
    /// Level lines at the axis's steps, from its low end at the foot of the box to its high end at the top,
    /// with their numbers at the left; nothing is the strongest of the lines. 'sign' as PlotAxis::number has
    /// it.
    struct Room {
        double left = 0, top = 0, width = 0, height = 0;
    };
    void upright_axis(const Room& room, const PlotAxis& axis, bool sign);

    /// About how wide it is: Inter's letters are 0.56 of their size wide.
    [[nodiscard]] static double width_of(const std::string& text, double size = kLetters);

    /// All of it, on white.
    [[nodiscard]] PlotDrawing finish(double height);

  private:
    void range(double across, const Range& range, const char* colour, bool upright);
    std::vector<paper::Stroke> strokes_;
};

/// 'count': about how many steps there may be.
[[nodiscard]] PlotAxis plot_axis(double low, double high, int count);

}  // namespace plumbmark::report
