#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "base/utf8.h"
#include "report/internal/plain.h"
#include "report/internal/plot_drawing.h"
#include "report/placing_picture.h"

namespace plumbmark::report {
namespace {

using paper::Stroke;
using paper::StrokeKind;

constexpr double kLetterWidth = 0.56;
/// Wider than a dot, so that a short range is still seen over it.
constexpr double kCap = 4.4;

/// As many letters of it as fit, the last of them three dots where it is longer.
std::string fitting(const std::string& text, double room, double size) {
    const std::u32string letters = base::code_points(text);
    const auto most = static_cast<std::size_t>(std::max(1.0, room / (kLetterWidth * size)));
    if (room <= 0 || letters.size() <= most) return text;
    std::string out;
    for (std::size_t i = 0; i + 1 < most; ++i)
        base::append_utf8(out, letters[i]);
    return out + "…";
}

}  // namespace

double PlotPen::width_of(const std::string& text, double size) {
    return kLetterWidth * size * static_cast<double>(base::code_points(text).size());
}

Stroke& PlotPen::line(std::vector<Point> points, double width, const char* colour) {
    strokes_.push_back({StrokeKind::open_line, std::move(points), width, {0, 0}, colour});
    return strokes_.back();
}

void PlotPen::area(std::vector<Point> points, const char* fill) {
    strokes_.push_back({StrokeKind::closed_line, std::move(points), 0, {0, 0}, fill});
    strokes_.back().fill = fill;
}

void PlotPen::shape(Shape shape, const Point& at, double size, const char* colour) {
    const auto [x, y] = at;
    const auto closed = [&](std::vector<Point> points) {
        strokes_.push_back({StrokeKind::closed_line, std::move(points), 1.2, {0, 0}, colour});
        strokes_.back().fill = colour;
    };
    switch (shape) {
        case Shape::disc:
        case Shape::ring: {
            Stroke ring{StrokeKind::ring, {at}, 1.4, {0, 0}, colour};
            ring.size = size;
            ring.fill = shape == Shape::disc ? colour : "#ffffff";
            strokes_.push_back(std::move(ring));
            return;
        }
        case Shape::square:
            return closed(
                {{x - size, y - size}, {x + size, y - size}, {x + size, y + size}, {x - size, y + size}});
        case Shape::diamond:
            return closed(
                {{x, y - 1.3 * size}, {x + 1.3 * size, y}, {x, y + 1.3 * size}, {x - 1.3 * size, y}});
        case Shape::triangle:
            return closed({{x, y - 1.2 * size}, {x + 1.2 * size, y + size}, {x - 1.2 * size, y + size}});
    }
}

void PlotPen::words(const Point& baseline, const std::string& text, int anchor, double size,
                    const char* colour, double room) {
    Stroke stroke{StrokeKind::text, {baseline}, 0, {0, 0}, colour};
    stroke.size = size;
    stroke.anchor = anchor;
    stroke.words = fitting(plain(text), room, size);
    strokes_.push_back(std::move(stroke));
}

void PlotPen::range(double across, const Range& range, const char* colour, bool upright) {
    const auto at = [&](double along, double aside) {
        return upright ? Point{across + aside, along} : Point{along, across + aside};
    };
    Stroke& bar = line({at(range.from, 0), at(range.to, 0)}, 1.3, colour);
    if (range.doubt) bar.dashes = {3, 2};
    const double ahead = range.to < range.from ? -1 : 1;
    const auto end = [&](double along, bool open, double outward) {
        if (open)
            line({at(along - outward * 5, -kCap), at(along, 0), at(along - outward * 5, kCap)}, 1.3, colour);
        else
            line({at(along, -kCap), at(along, kCap)}, 1.3, colour);
    };
    end(range.from, range.open_from, -ahead);
    end(range.to, range.open_to, ahead);
}

void PlotPen::upright_range(double x, const Range& range, const char* colour) {
    this->range(x, range, colour, true);
}
void PlotPen::level_range(double y, const Range& range, const char* colour) {
    this->range(y, range, colour, false);
}

void PlotPen::upright_axis(const Room& room, const PlotAxis& axis, bool sign) {
    const auto steps = static_cast<int>(std::lround((axis.high - axis.low) / axis.step));
    for (int i = 0; i <= steps; ++i) {
        const double value = axis.low + i * axis.step;
        const double y = room.top + room.height * (axis.high - value) / (axis.high - axis.low);
        const bool zero = std::abs(value) < axis.step / 2;
        line({{room.left, y}, {room.left + room.width, y}}, zero ? 1.1 : 0.6, zero ? kInk : kFaint);
        words({room.left - 6, y + 3.5}, axis.number(value, sign), 1, kSmall, kQuiet);
    }
}

PlotDrawing PlotPen::finish(double height) {
    PlotDrawing drawing{static_cast<int>(kWidth), static_cast<int>(std::ceil(height)), {}};
    const double w = drawing.width, h = drawing.height;
    Stroke paper{StrokeKind::closed_line, {{0, 0}, {w, 0}, {w, h}, {0, h}}, 0, {0, 0}, "#ffffff"};
    paper.fill = "#ffffff";
    drawing.strokes.push_back(std::move(paper));
    for (Stroke& stroke : strokes_)
        drawing.strokes.push_back(std::move(stroke));
    strokes_.clear();
    return drawing;
}

int PlotAxis::decimals() const {
    return step < 0.0999 ? 2 : step < 0.999 ? 1 : 0;
}

std::string PlotAxis::number(double value, bool sign) const {
    if (std::abs(value) < step / 2) return "0";
    return fmt::format("{}{:.{}f}", sign && value > 0 ? "+" : "", value, decimals());
}

PlotAxis plot_axis(double low, double high, int count) {
    PlotAxis axis;
    // No finer than a hundredth of a second: no frames show less than that.
    axis.step = placing_ticks(std::max(0.01, (high - low) / count));
    axis.low = std::floor(low / axis.step + 1e-9) * axis.step;
    axis.high = std::ceil(high / axis.step - 1e-9) * axis.step;
    if (!(axis.high > axis.low)) axis.high = axis.low + axis.step;
    return axis;
}

}  // namespace plumbmark::report
