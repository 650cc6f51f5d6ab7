#include "report/internal/still_overlay.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"

namespace plumbmark::report {
namespace {

using Point = std::array<double, 2>;
using paper::Stroke;
using paper::StrokeKind;

/// A point that a picture can have near it: a number, and not beyond all bounds.
bool drawable(const Point& point) {
    return std::isfinite(point[0]) && std::isfinite(point[1]) && std::abs(point[0]) < 1e6 &&
           std::abs(point[1]) < 1e6;
}

/// As std::clamp, but a range turned round (a very flat picture) is no mistake: the upper end holds.
double between(double value, double low, double high) {
    return std::min(std::max(value, low), high);
}

/// The first letters of a long name: a picture has room for about this many.
std::string shortened(const std::string& name) {
    constexpr std::size_t kLetters = 26;
    if (base::code_points(name).size() <= kLetters) return name;
    std::size_t bytes = 0, letters = 0;
    while (bytes < name.size() && letters <= kLetters - 1) {
        ++bytes;
        while (bytes < name.size() && (static_cast<unsigned char>(name[bytes]) & 0xC0) == 0x80)
            ++bytes;
        ++letters;
    }
    return name.substr(0, bytes) + "…";
}

/// Without what is no number, or what no picture has.
std::vector<Point> drawn(const std::vector<Point>& points) {
    std::vector<Point> out;
    std::copy_if(points.begin(), points.end(), std::back_inserter(out), drawable);
    return out;
}

/// Draws in units of the still's pixels; 'unit' is what a line of one device-independent point comes to.
class Overlay {
  public:
    Overlay(const RulingDocument& document, const Still& still)
        : document_(document),
          still_(still),
          width_(still.picture.width),
          height_(still.picture.height),
          unit_(std::max(width_, height_) / 240.0) {}

    [[nodiscard]] std::vector<Stroke> draw() {
        for (const StillOutline& outline : still_.outlines)
            outline.kind == meet::DrawingKind::plane ? plane(outline) : surface(outline);
        if (still_.spot && drawable(*still_.spot)) spot(*still_.spot);
        for (const StillOutline& outline : still_.outlines)
            name(outline);
        return std::move(out_);
    }

  private:
    /// A dark line under each coloured one keeps it visible on any picture.
    void line(StrokeKind kind, const std::vector<Point>& points, const char* colour, Point dashes) {
        if (points.empty()) return;
        out_.push_back({kind, points, 2.4 * unit_, {0, 0}, "#000", 0.6});
        out_.push_back({kind, points, 1.2 * unit_, dashes, colour});
    }

    void surface(const StillOutline& outline) {
        line(StrokeKind::closed_line, drawn(outline.points), "#fff", {4 * unit_, 2.5 * unit_});
    }

    void plane(const StillOutline& outline) {
        line(StrokeKind::open_line, drawn(outline.points), "#E69F00", {0, 0});
        if (!outline.towards || !drawable(*outline.towards)) return;
        for (std::size_t i = 1; i < outline.points.size(); ++i)
            if (drawable(outline.points[i - 1]) && drawable(outline.points[i]))
                ticks(outline.points[i - 1], outline.points[i], *outline.towards);
    }

    /// Short strokes from the line to the plane's far side.
    void ticks(const Point& from, const Point& to, const Point& towards) {
        const double dx = to[0] - from[0], dy = to[1] - from[1];
        const double length = std::hypot(dx, dy);
        if (length < 1 || length > 1e5) return;
        const double side = dx * (towards[1] - from[1]) - dy * (towards[0] - from[0]);
        const double turn = (side < 0 ? -1 : 1) * 5 * unit_ / length;
        const int count = std::clamp(static_cast<int>(length / (16 * unit_)), 1, 40);
        for (int i = 0; i < count; ++i) {
            const double along = (i + 0.5) / count;
            const Point foot{from[0] + along * dx, from[1] + along * dy};
            line(StrokeKind::open_line, drawn({foot, {foot[0] - turn * dy, foot[1] + turn * dx}}), "#E69F00",
                 {0, 0});
        }
    }

    /// A ring, so that the contact inside it stays to be seen.
    void spot(const Point& at) {
        for (const auto& [colour, width] : {std::pair{"#fff", 3.6}, std::pair{spot_colour(), 2.0}}) {
            Stroke ring{StrokeKind::ring, {at}, width * unit_, {0, 0}, colour};
            ring.size = kRingRadius * std::max(width_, height_);
            out_.push_back(std::move(ring));
        }
    }

    [[nodiscard]] const char* spot_colour() const {
        for (const ruling::Mark& mark : document_.evidence.marks) {
            if (mark.id != still_.mark || mark.alternatives.empty()) continue;
            if (const auto* touch = std::get_if<ruling::Touch>(&mark.alternatives.front()))
                return limb_colour(touch->part);
            if (const auto* release = std::get_if<ruling::Release>(&mark.alternatives.front()))
                return limb_colour(release->part);
        }
        return "#1d1f21";
    }

    [[nodiscard]] Point inside(const Point& point) const {
        return {std::clamp<double>(point[0], 0, width_), std::clamp<double>(point[1], 0, height_)};
    }

    /// The middle of what can be seen of a surface, moved off the spot.
    [[nodiscard]] Point surface_name_place(const std::vector<Point>& points) const {
        Point place{0, 0};
        for (const Point& point : points) {
            place[0] += inside(point)[0] / static_cast<double>(points.size());
            place[1] += inside(point)[1] / static_cast<double>(points.size());
        }
        if (!still_.spot) return place;
        const Point& spot = *still_.spot;
        if (std::hypot(place[0] - spot[0], place[1] - spot[1]) < 26 * unit_)
            place[1] = spot[1] + (place[1] < spot[1] ? -26 : 26) * unit_;
        return place;
    }

    /// The upper end of a plane's line.
    [[nodiscard]] Point plane_name_place(const std::vector<Point>& points) const {
        const auto upper = std::min_element(points.begin(), points.end(),
                                            [](const Point& a, const Point& b) { return a[1] < b[1]; });
        return inside(*upper);
    }

    void name(const StillOutline& outline) {
        const std::vector<Point> points = drawn(outline.points);
        if (points.empty() || outline.name.empty()) return;
        if (outline.kind == meet::DrawingKind::surface) {
            const Point place = surface_name_place(points);
            write(outline.name, {between(place[0], width_ * 0.16, width_ * 0.84), place[1]}, 0);
            return;
        }
        const Point place = plane_name_place(points);
        const bool left = place[0] > width_ * 0.6;
        write(outline.name, {place[0] + (left ? -5 : 5) * unit_, place[1]}, left ? 1 : -1);
    }

    /// A stroke of dark round light letters keeps a name readable on any picture.
    void write(const std::string& words, const Point& at, int anchor) {
        Stroke text{StrokeKind::text, {{at[0], between(at[1], 14 * unit_, height_ - 5 * unit_)}},
                    2.6 * unit_,      {0, 0},
                    "#fff",           0.75};
        text.size = 10.5 * unit_;
        text.anchor = anchor;
        text.words = shortened(plain(words));
        out_.push_back(std::move(text));
    }

    const RulingDocument& document_;
    const Still& still_;
    int width_, height_;
    double unit_;
    std::vector<Stroke> out_;
};

}  // namespace

std::vector<Stroke> still_overlay(const RulingDocument& document, const Still& still) {
    return Overlay(document, still).draw();
}

}  // namespace plumbmark::report
