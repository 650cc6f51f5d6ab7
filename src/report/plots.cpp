#include "report/plots.h"

#include <fmt/format.h>

#include <cmath>

#include "base/worded.h"
#include "report/internal/paper_slices.h"
#include "report/internal/pixel_drawing.h"
#include "report/internal/plain.h"
#include "report/internal/plot_drawing.h"
#include "report/internal/stroke_svg.h"

namespace plumbmark::report {
std::string plot_svg(const Plot& plot) {
    const PlotDrawing drawing = plot_drawing(plot);
    std::string out =
        fmt::format(R"(<svg xmlns="http://www.w3.org/2000/svg" class="plot" viewBox="0 0 {} {}" role="img" )"
                    R"(aria-label="{}" font-family="Inter, Noto Sans, DejaVu Sans, sans-serif">)",
                    drawing.width, drawing.height, html(plot_says(plot)));
    for (const paper::Stroke& stroke : drawing.strokes)
        out += stroke_svg(stroke) + "\n";
    return out + "</svg>\n";
}

base::Result<media::RgbaImage> plot_picture(const Plot& plot, double scale) {
    if (!(scale >= 0.25 && scale <= 8))
        return base::Error{base::Category::bad_input,
                           base::worded("A plot is drawn at 0.25 to 8 pixels for each of its units."), ""};
    const PlotDrawing drawing = plot_drawing(plot);
    const int width = static_cast<int>(std::ceil(drawing.width * scale));
    const int height = static_cast<int>(std::ceil(drawing.height * scale));
    const OwnedByUs<cairo_surface_t> surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    const OwnedByUs<cairo_t> cairo(cairo_create(surface.get()));
    const auto context = pixel_text_context();
    paper::set_colour(cairo.get(), "#ffffff");
    cairo_paint(cairo.get());
    cairo_scale(cairo.get(), scale, scale);
    for (const paper::Stroke& stroke : drawing.strokes)
        paper::draw_stroke(cairo.get(), stroke, context.get());
    cairo_surface_flush(surface.get());
    if (cairo_status(cairo.get()) != CAIRO_STATUS_SUCCESS)
        return base::Error{base::Category::io,
                           base::worded("The picture cannot be drawn; memory may be short."), ""};
    return opaque_picture(surface.get(), width, height);
}

}  // namespace plumbmark::report
