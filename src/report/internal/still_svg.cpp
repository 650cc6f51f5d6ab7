#include "report/internal/still_svg.h"

#include <fmt/format.h>

#include "media/still.h"
#include "report/internal/plain.h"
#include "report/internal/still_overlay.h"

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

std::string line_svg(const Stroke& stroke) {
    const std::string opacity =
        stroke.opacity < 1 ? fmt::format(R"( stroke-opacity="{:.2g}")", stroke.opacity) : "";
    const std::string dashes = stroke.dashes[0] > 0 ? fmt::format(R"( stroke-dasharray="{:.1f} {:.1f}")",
                                                                  stroke.dashes[0], stroke.dashes[1])
                                                    : "";
    return fmt::format(R"(<{} points="{}" fill="none" stroke="{}"{} stroke-width="{:.2f}"{}/>)",
                       stroke.kind == StrokeKind::closed_line ? "polygon" : "polyline", points_text(stroke),
                       stroke.colour, opacity, stroke.width, dashes);
}

std::string ring_svg(const Stroke& stroke) {
    return fmt::format(
        R"(<circle cx="{:.1f}" cy="{:.1f}" r="{:.1f}" fill="none" stroke="{}" stroke-width="{:.2f}"/>)",
        stroke.points.front()[0], stroke.points.front()[1], stroke.size, stroke.colour, stroke.width);
}

/// A stroke of dark round light letters keeps a name readable on any picture.
std::string text_svg(const Stroke& stroke) {
    const char* anchor = stroke.anchor < 0 ? "start" : stroke.anchor == 0 ? "middle" : "end";
    return fmt::format(
        R"(<text x="{:.1f}" y="{:.1f}" font-size="{:.1f}" text-anchor="{}" fill="{}" stroke="#000" )"
        R"(stroke-opacity="{:.2g}" stroke-width="{:.2f}" paint-order="stroke" stroke-linejoin="round">{}</text>)",
        stroke.points.front()[0], stroke.points.front()[1], stroke.size, anchor, stroke.colour,
        stroke.opacity, stroke.width, html(stroke.words));
}

std::string overlay_svg(const RulingDocument& document, const Still& still) {
    std::string out;
    for (const Stroke& stroke : still_overlay(document, still))
        out += stroke.kind == StrokeKind::text   ? text_svg(stroke)
               : stroke.kind == StrokeKind::ring ? ring_svg(stroke)
                                                 : line_svg(stroke);
    return out;
}

}  // namespace

std::string still_svg(const RulingDocument& document, const Still& still) {
    const auto jpeg = media::encode_jpeg(still.picture, kStillQuality);
    if (!jpeg) return fmt::format(R"(<p class="gone">No picture: {}</p>)", html(jpeg.error().text()));
    const int width = still.picture.width, height = still.picture.height;
    return fmt::format(R"(<svg class="picture" viewBox="0 0 {0} {1}" role="img" aria-label="{2}">)"
                       R"(<image width="{0}" height="{1}" href="data:image/jpeg;base64,{3}"/>{4}</svg>)",
                       width, height, html(still.caption), base64(*jpeg), overlay_svg(document, still));
}

}  // namespace plumbmark::report
