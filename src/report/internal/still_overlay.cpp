#include "report/internal/still_overlay.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>

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

/// Draws in the picture's pixels.
class Overlay {
  public:
    explicit Overlay(const PictureOverlay& over)
        : over_(over), width_(over.width), height_(over.height), unit_(over.unit) {}

    [[nodiscard]] std::vector<Stroke> draw() {
        for (const StillOutline& outline : over_.outlines)
            outline.kind == meet::DrawingKind::plane ? plane(outline) : surface(outline);
        for (const OverlaySpot& one : over_.spots)
            if (drawable(one.at)) spot(one);
        for (const StillOutline& outline : over_.outlines)
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
    void spot(const OverlaySpot& one) {
        for (const auto& [colour, width] : {std::pair{"#fff", 3.6}, std::pair{one.colour.c_str(), 2.0}}) {
            Stroke ring{StrokeKind::ring, {one.at}, width * unit_, {0, 0}, colour};
            ring.size = one.radius;
            out_.push_back(std::move(ring));
        }
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
        for (const auto& [spot, radius, colour] : over_.spots)
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

    /// Whether any of it may be seen: what lies wholly beyond one edge is not named.
    [[nodiscard]] bool in_sight(const std::vector<Point>& points) const {
        Point low = points.front(), high = low;
        for (const Point& point : points)
            for (std::size_t axis = 0; axis < 2; ++axis) {
                low[axis] = std::min(low[axis], point[axis]);
                high[axis] = std::max(high[axis], point[axis]);
            }
        return high[0] >= 0 && high[1] >= 0 && low[0] <= width_ && low[1] <= height_;
    }

    void name(const StillOutline& outline) {
        const std::vector<Point> points = drawn(outline.points);
        if (points.empty() || outline.name.empty() || !in_sight(points)) return;
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
    void write(const std::string& words, const Point& wanted, int anchor) {
        const std::string shown = shortened(plain(words));
        const auto at =
            place_for(shown, {wanted[0], between(wanted[1], 14 * unit_, height_ - 5 * unit_)}, anchor);
        if (!at) return;
        Stroke text{StrokeKind::text, {*at}, 2.6 * unit_, {0, 0}, "#fff", 0.75};
        text.size = 10.5 * unit_;
        text.anchor = anchor;
        text.words = shown;
        out_.push_back(std::move(text));
    }

    /// Where a name lies over no other: at its place, or some lines above or below it. Letters are reckoned
    /// 0.56 of their height wide, which is about what they are.
    std::optional<Point> place_for(const std::string& words, const Point& wanted, int anchor) {
        if (!over_.apart) return wanted;
        const double size = 10.5 * unit_,
                     wide = 0.56 * size * static_cast<double>(base::code_points(words).size());
        const double left = wanted[0] - wide * (anchor + 1) / 2;
        for (const double lines : {0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0}) {
            const Area area{left, wanted[1] + lines * 1.15 * size - size, left + wide,
                            wanted[1] + lines * 1.15 * size};
            const bool free = std::none_of(names_.begin(), names_.end(), [&area](const Area& other) {
                return area[0] < other[2] && other[0] < area[2] && area[1] < other[3] && other[1] < area[3];
            });
            if (!free || area[1] < 0 || area[3] > height_) continue;
            names_.push_back(area);
            return Point{wanted[0], area[3]};
        }
        return std::nullopt;
    }

    using Area = std::array<double, 4>;  ///< left, top, right, bottom

    const PictureOverlay& over_;
    int width_, height_;
    double unit_;
    std::vector<Area> names_;
    std::vector<Stroke> out_;
};

const char* spot_colour(const RulingDocument& document, ruling::MarkId id) {
    for (const ruling::Mark& mark : document.evidence.marks) {
        if (mark.id != id || mark.alternatives.empty()) continue;
        if (const auto* touch = std::get_if<ruling::Touch>(&mark.alternatives.front()))
            return limb_colour(touch->part);
        if (const auto* release = std::get_if<ruling::Release>(&mark.alternatives.front()))
            return limb_colour(release->part);
    }
    return kNoLimbColour;
}

}  // namespace

std::vector<Stroke> picture_overlay(const PictureOverlay& over) {
    return Overlay(over).draw();
}

std::vector<Stroke> still_overlay(const media::RgbaImage& picture, const std::vector<StillOutline>& outlines,
                                  const std::optional<Point>& spot, const char* colour, bool apart) {
    const int longer = std::max(picture.width, picture.height);
    PictureOverlay over{picture.width, picture.height, longer / 240.0, outlines, {}, apart};
    if (spot) over.spots = {{*spot, kRingRadius * longer, colour}};
    return picture_overlay(over);
}

std::vector<Stroke> still_overlay(const RulingDocument& document, const Still& still) {
    return still_overlay(still.picture, still.outlines, still.spot, spot_colour(document, still.mark), false);
}

}  // namespace plumbmark::report
