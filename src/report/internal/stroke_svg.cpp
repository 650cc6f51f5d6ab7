#include "report/internal/stroke_svg.h"

#include <fmt/format.h>

#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

using paper::Stroke;
using paper::StrokeKind;

std::string points_text(const Stroke& stroke) {
    std::string out;
    for (const auto& point : stroke.points)
        out += fmt::format("{}{:.1f},{:.1f}", out.empty() ? "" : " ", point[0], point[1]);
    return out;
}

std::string fill_of(const Stroke& stroke) {
    return stroke.fill.empty() ? "none" : stroke.fill;
}

std::string line_svg(const Stroke& stroke) {
    const std::string opacity =
        stroke.opacity < 1 ? fmt::format(R"( stroke-opacity="{:.2g}")", stroke.opacity) : "";
    const std::string dashes = stroke.dashes[0] > 0 ? fmt::format(R"( stroke-dasharray="{:.1f} {:.1f}")",
                                                                  stroke.dashes[0], stroke.dashes[1])
                                                    : "";
    return fmt::format(R"(<{} points="{}" fill="{}" stroke="{}"{} stroke-width="{:.2f}"{}/>)",
                       stroke.kind == StrokeKind::closed_line ? "polygon" : "polyline", points_text(stroke),
                       fill_of(stroke), stroke.colour, opacity, stroke.width, dashes);
}

std::string ring_svg(const Stroke& stroke) {
    return fmt::format(
        R"(<circle cx="{:.1f}" cy="{:.1f}" r="{:.1f}" fill="{}" stroke="{}" stroke-width="{:.2f}"/>)",
        stroke.points.front()[0], stroke.points.front()[1], stroke.size, fill_of(stroke), stroke.colour,
        stroke.width);
}

/// A stroke of dark round light letters keeps a name readable on any picture.
std::string text_svg(const Stroke& stroke) {
    const char* anchor = stroke.anchor < 0 ? "start" : stroke.anchor == 0 ? "middle" : "end";
    const std::string rim =
        stroke.width > 0 ? fmt::format(R"( stroke="#000" stroke-opacity="{:.2g}" stroke-width="{:.2f}" )"
                                       R"(paint-order="stroke" stroke-linejoin="round")",
                                       stroke.opacity, stroke.width)
                         : "";
    return fmt::format(
        R"(<text x="{:.1f}" y="{:.1f}" font-size="{:.1f}" text-anchor="{}" fill="{}"{}>{}</text>)",
        stroke.points.front()[0], stroke.points.front()[1], stroke.size, anchor, stroke.colour, rim,
        html(stroke.words));
}

}  // namespace

std::string stroke_svg(const Stroke& stroke) {
    if (stroke.kind == StrokeKind::text) return text_svg(stroke);
    return stroke.kind == StrokeKind::ring ? ring_svg(stroke) : line_svg(stroke);
}

}  // namespace plumbmark::report
