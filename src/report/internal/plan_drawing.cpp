#include "report/internal/plan_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

using course::PlanPoint;
using paper::Stroke;
using paper::StrokeKind;
using Form = BriefingPlace::Form;

constexpr double kWidth = 680, kTallest = 230, kMargin = 30, kFoot = 24;
constexpr double kLargestScale = 260;  ///< pixels a metre
constexpr double kDisc = 8.5;
constexpr const char* kInk = "#1d1f21";
/// Okabe and Ito's reddish purple, darkened: planes are purple on the stills as well.
constexpr const char* kPlane = "#8E4585";

struct Extent {
    PlanPoint low{1e9, 1e9}, high{-1e9, -1e9};
    void take(const PlanPoint& point) {
        for (std::size_t axis = 0; axis < 2; ++axis) {
            low[axis] = std::min(low[axis], point[axis]);
            high[axis] = std::max(high[axis], point[axis]);
        }
    }
    [[nodiscard]] double size(std::size_t axis) const { return std::max(0.5, high[axis] - low[axis]); }
};

bool has(const BriefingPlace& place, const char* role) {
    return std::find(place.roles.begin(), place.roles.end(), role) != place.roles.end();
}

class Drawer {
  public:
    explicit Drawer(const BriefingPlan& plan) : plan_(plan) {
        for (const BriefingPlace& place : plan.places)
            for (const PlanPoint& point : place.points)
                extent_.take(point);
        scale_ = std::min({(kWidth - 2 * kMargin) / extent_.size(0),
                           (kTallest - 2 * kMargin) / extent_.size(1), kLargestScale});
        drawing_.width = static_cast<int>(kWidth);
        drawing_.height = static_cast<int>(std::ceil(extent_.size(1) * scale_ + 2 * kMargin + kFoot));
    }

    PlanDrawing draw() {
        for (const Form form : {Form::area, Form::line, Form::plane})
            for (const BriefingPlace& place : plan_.places)
                if (place.form == form) draw(place);
        for (std::size_t i = 0; i < plan_.places.size(); ++i)
            number(plan_.places[i], i + 1);
        scale_bar();
        return std::move(drawing_);
    }

  private:
    PlanPoint at(const PlanPoint& metres) const {
        // In the middle where the width is not used up.
        const double left = (kWidth - extent_.size(0) * scale_) / 2;
        return {left + (metres[0] - extent_.low[0]) * scale_,
                kMargin + (extent_.low[1] + extent_.size(1) - metres[1]) * scale_};
    }

    Stroke& add(StrokeKind kind, std::vector<PlanPoint> points, double width, const char* colour) {
        drawing_.strokes.push_back({kind, std::move(points), width, {0, 0}, colour});
        return drawing_.strokes.back();
    }

    std::vector<PlanPoint> all(const BriefingPlace& place) const {
        std::vector<PlanPoint> points;
        for (const PlanPoint& point : place.points)
            points.push_back(at(point));
        return points;
    }

    void draw(const BriefingPlace& place) {
        const bool landing = has(place, "landing");
        if (place.form == Form::area) {
            Stroke& edge = add(StrokeKind::closed_line, all(place), landing ? 2.4 : 1.2, kInk);
            edge.fill = landing ? "#d5ece3" : has(place, "start") ? "#e4e2dc" : "#ffffff";
        } else if (place.form == Form::line && place.points.size() == 1) {
            add(StrokeKind::ring, all(place), 2.4, "#5b5f63").size = 5;
        } else if (place.form == Form::line) {
            add(StrokeKind::open_line, all(place), 4, "#5b5f63");
        } else {
            add(StrokeKind::open_line, all(place), 4, "#ffffff");  // else an edge beneath fills the gaps
            add(StrokeKind::open_line, all(place), 2.4, kPlane).dashes = {6, 4};
            arrow(place);
        }
    }

    /// From the middle of the plane to its far side.
    void arrow(const BriefingPlace& plane) {
        const PlanPoint a = at(plane.points[0]), b = at(plane.points[1]), past = at(plane.past);
        const double length = std::hypot(b[0] - a[0], b[1] - a[1]);
        PlanPoint along{(b[0] - a[0]) / length, (b[1] - a[1]) / length};
        PlanPoint across{-along[1], along[0]};
        if (across[0] * (past[0] - a[0]) + across[1] * (past[1] - a[1]) < 0)
            across = {-across[0], -across[1]};
        const PlanPoint from{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2};
        const PlanPoint tip{from[0] + 22 * across[0], from[1] + 22 * across[1]};
        add(StrokeKind::open_line, {from, tip}, 2, kPlane);
        const auto barb = [&](double side) {
            return PlanPoint{tip[0] - 7 * across[0] + side * along[0],
                             tip[1] - 7 * across[1] + side * along[1]};
        };
        add(StrokeKind::open_line, {barb(5), tip, barb(-5)}, 2, kPlane);
    }

    /// Of an area in it, of all else beyond its last point.
    PlanPoint number_place(const BriefingPlace& place) const {
        const std::vector<PlanPoint> points = all(place);
        if (place.form == Form::area) {
            PlanPoint middle{0, 0};
            for (const PlanPoint& point : points)
                for (std::size_t axis = 0; axis < 2; ++axis)
                    middle[axis] += point[axis] / static_cast<double>(points.size());
            return middle;
        }
        const PlanPoint& end = points.back();
        if (points.size() == 1) return {end[0] + 18, end[1]};
        const PlanPoint& before = points[points.size() - 2];
        const double length = std::hypot(end[0] - before[0], end[1] - before[1]);
        const double away = kDisc + 5;
        return {end[0] + away * (end[0] - before[0]) / length, end[1] + away * (end[1] - before[1]) / length};
    }

    void number(const BriefingPlace& place, std::size_t number) {
        const PlanPoint middle = number_place(place);
        Stroke& disc = add(StrokeKind::ring, {middle}, 1.2, place.form == Form::plane ? kPlane : kInk);
        disc.size = kDisc;
        disc.fill = "#ffffff";
        words({middle[0], middle[1] + 3.8}, std::to_string(number), 0);
    }

    void words(const PlanPoint& baseline, std::string text, int anchor) {
        Stroke& stroke = add(StrokeKind::text, {baseline}, 0, kInk);
        stroke.size = 10.5;
        stroke.anchor = anchor;
        stroke.words = std::move(text);
    }

    void scale_bar() {
        double metres = 0.1;
        for (const double longer : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0, 100.0})
            if (longer * scale_ < kWidth / 4) metres = longer;
        const double y = drawing_.height - 9.0, x = kMargin, end = x + metres * scale_;
        add(StrokeKind::open_line, {{x, y - 4}, {x, y}, {end, y}, {end, y - 4}}, 1.2, kInk);
        words({end + 6, y + 1}, fmt::format("{} m, seen from above", metres), -1);
    }

    const BriefingPlan& plan_;
    Extent extent_;
    double scale_ = 1;
    PlanDrawing drawing_;
};

}  // namespace

PlanDrawing plan_drawing(const BriefingPlan& plan) {
    return Drawer(plan).draw();
}

std::vector<std::string> plan_legend(const BriefingPlan& plan) {
    std::vector<std::string> things;
    bool planes = false;
    for (std::size_t i = 0; i < plan.places.size(); ++i) {
        const BriefingPlace& place = plan.places[i];
        things.push_back(
            fmt::format("{} {}: {}", i + 1, isolated(place.name), base::listed(place.roles, "and")));
        planes |= place.form == Form::plane;
    }
    std::vector<std::string> out{fmt::format("{}.", fmt::join(things, "; "))};
    if (planes)
        out.emplace_back("A dashed line is a plane, and its arrow shows to where somebody has passed it.");
    std::vector<std::string> missing;
    for (const std::string& name : plan.missing)
        missing.push_back(isolated(name));
    if (!missing.empty())
        out.push_back("Not drawn, as the plan does not say where it is: " + base::listed(missing) + ".");
    return out;
}

}  // namespace plumbmark::report
