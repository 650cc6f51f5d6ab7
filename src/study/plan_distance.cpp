#include "study/internal/plan_distance.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace plumbmark::study::internal {
namespace {

using course::PlanPoint;

struct Edge {
    PlanPoint from, to;
};

/// The edges of an outline, or the pieces of a line.
std::vector<Edge> edges_of(const course::SurfacePlan& plan) {
    std::vector<PlanPoint> points = plan.outline;
    for (const course::SpacePoint& point : plan.line)
        points.push_back({point[0], point[1]});
    std::vector<Edge> edges;
    for (std::size_t i = 0; i + 1 < points.size(); ++i)
        edges.push_back({points[i], points[i + 1]});
    if (!plan.outline.empty()) edges.push_back({points.back(), points.front()});
    return edges;
}

double distance(const PlanPoint& point, const Edge& edge) {
    const double x = edge.to[0] - edge.from[0], y = edge.to[1] - edge.from[1];
    const double px = point[0] - edge.from[0], py = point[1] - edge.from[1];
    const double length = x * x + y * y;
    const double along = length > 0 ? std::clamp((px * x + py * y) / length, 0.0, 1.0) : 0.0;
    return std::hypot(px - along * x, py - along * y);
}

/// On which side of the edge's line: twice the area of the triangle.
double side(const Edge& edge, const PlanPoint& point) {
    return (edge.to[0] - edge.from[0]) * (point[1] - edge.from[1]) -
           (edge.to[1] - edge.from[1]) * (point[0] - edge.from[0]);
}

/// Edges that touch or lie along each other have an end on the other, which 'distance' finds.
bool cross(const Edge& a, const Edge& b) {
    return side(a, b.from) * side(a, b.to) < 0 && side(b, a.from) * side(b, a.to) < 0;
}

bool inside(const PlanPoint& point, const std::vector<PlanPoint>& outline) {
    bool in = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const PlanPoint &a = outline[i], &b = outline[j];
        if ((a[1] > point[1]) != (b[1] > point[1]) &&
            point[0] < (b[0] - a[0]) * (point[1] - a[1]) / (b[1] - a[1]) + a[0])
            in = !in;
    }
    return in;
}

}  // namespace

double level_distance(const course::SurfacePlan& one, const course::SurfacePlan& other) {
    const std::vector<Edge> a = edges_of(one), b = edges_of(other);
    if (a.empty() || b.empty()) return 0;
    if ((!one.outline.empty() && inside(b[0].from, one.outline)) ||
        (!other.outline.empty() && inside(a[0].from, other.outline)))
        return 0;
    double least = std::numeric_limits<double>::infinity();
    for (const Edge& of_one : a) {
        for (const Edge& of_other : b) {
            if (cross(of_one, of_other)) return 0;
            least = std::min({least, distance(of_one.from, of_other), distance(of_one.to, of_other),
                              distance(of_other.from, of_one), distance(of_other.to, of_one)});
        }
    }
    return least;
}

double lowest(const course::SurfacePlan& plan) {
    if (plan.line.empty()) return plan.top;
    return (*std::min_element(plan.line.begin(), plan.line.end(),
                              [](const auto& a, const auto& b) { return a[2] < b[2]; }))[2];
}

double highest(const course::SurfacePlan& plan) {
    if (plan.line.empty()) return plan.top;
    return (*std::max_element(plan.line.begin(), plan.line.end(),
                              [](const auto& a, const auto& b) { return a[2] < b[2]; }))[2];
}

}  // namespace plumbmark::study::internal
