#include "report/plots.h"

#include <fmt/format.h>

#include <cmath>
#include <cstring>

#include "base/worded.h"
#include "report/internal/paper_slices.h"
#include "report/internal/plain.h"
#include "report/internal/plot_drawing.h"
#include "report/internal/stroke_svg.h"

namespace plumbmark::report {
namespace {

/// Cairo's pixels are native-endian words, ours are bytes; all opaque.
media::RgbaImage from_cairo(cairo_surface_t* surface, int width, int height) {
    media::RgbaImage image{width, height, {}};
    image.pixels.resize(std::size_t{4} * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    const unsigned char* rows = cairo_image_surface_get_data(surface);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    std::uint8_t* to = image.pixels.data();
    for (int y = 0; y < height; ++y) {
        const unsigned char* row = rows + static_cast<std::size_t>(y) * stride;
        for (int x = 0; x < width; ++x, row += 4, to += 4) {
            std::uint32_t word = 0;
            std::memcpy(&word, row, 4);
            to[0] = static_cast<std::uint8_t>(word >> 16);
            to[1] = static_cast<std::uint8_t>(word >> 8);
            to[2] = static_cast<std::uint8_t>(word);
            to[3] = 255;
        }
    }
    return image;
}

OwnedByUs<PangoContext> text_context() {
    // Pango's default font map belongs to the calling thread (since 1.32.6), so no lock is needed.
    OwnedByUs<PangoContext> context(pango_font_map_create_context(pango_cairo_font_map_get_default()));
    const OwnedByUs<cairo_font_options_t> options(cairo_font_options_create());
    cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context.get(), options.get());
    return context;
}

}  // namespace

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
    const auto context = text_context();
    paper::set_colour(cairo.get(), "#ffffff");
    cairo_paint(cairo.get());
    cairo_scale(cairo.get(), scale, scale);
    for (const paper::Stroke& stroke : drawing.strokes)
        paper::draw_stroke(cairo.get(), stroke, context.get());
    cairo_surface_flush(surface.get());
    if (cairo_status(cairo.get()) != CAIRO_STATUS_SUCCESS)
        return base::Error{base::Category::io,
                           base::worded("The picture cannot be drawn; memory may be short."), ""};
    return from_cairo(surface.get(), width, height);
}

}  // namespace plumbmark::report
