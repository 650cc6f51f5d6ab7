#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "report/internal/paper_slices.h"
#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

/// The hexadecimal digit at 'at' of a colour, 0 to 15.
int digit(const std::string& colour, std::size_t at) {
    return static_cast<int>(std::strtol(colour.substr(at, 1).c_str(), nullptr, 16));
}

void trace(cairo_t* cairo, const Stroke& stroke) {
    cairo_new_path(cairo);
    if (stroke.kind == StrokeKind::ring) {
        cairo_arc(cairo, stroke.points.front()[0], stroke.points.front()[1], stroke.size, 0, 2 * M_PI);
        return;
    }
    for (const auto& point : stroke.points)
        cairo_line_to(cairo, point[0], point[1]);
    if (stroke.kind == StrokeKind::closed_line) cairo_close_path(cairo);
}

/// Light letters on a dark rim, readable on any picture.
void write(cairo_t* cairo, const Stroke& stroke, PangoContext* context) {
    const OwnedByUs<PangoLayout> layout(pango_layout_new(context));
    const OwnedByUs<PangoFontDescription> font(pango_font_description_from_string(kFontFamilies));
    pango_font_description_set_absolute_size(font.get(), stroke.size * PANGO_SCALE);
    pango_layout_set_font_description(layout.get(), font.get());
    const std::string words = plain(stroke.words);
    pango_layout_set_text(layout.get(), words.data(), static_cast<int>(words.size()));
    PangoRectangle box;
    pango_layout_get_extents(layout.get(), nullptr, &box);
    const double width = static_cast<double>(box.width) / PANGO_SCALE;
    const double baseline = static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE;
    const double x = stroke.points.front()[0] - width * (stroke.anchor + 1) / 2;
    if (stroke.width > 0) {
        cairo_move_to(cairo, x, stroke.points.front()[1] - baseline);
        pango_cairo_layout_path(cairo, layout.get());
        set_colour(cairo, "#000", stroke.opacity);
        cairo_set_line_width(cairo, stroke.width);
        cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
        cairo_stroke(cairo);
    }
    set_colour(cairo, stroke.colour);
    cairo_move_to(cairo, x, stroke.points.front()[1] - baseline);
    pango_cairo_show_layout(cairo, layout.get());
}

void free_bytes(void* bytes) {
    std::free(bytes);
}

/// The file's own bytes go into the PDF; the surface only carries them.
OwnedByUs<cairo_surface_t> jpeg_surface(const Picture& picture) {
    OwnedByUs<cairo_surface_t> surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
    auto* bytes = static_cast<unsigned char*>(std::malloc(picture.jpeg.size()));
    if (bytes == nullptr) return surface;
    std::copy(picture.jpeg.begin(), picture.jpeg.end(), bytes);
    cairo_surface_set_mime_data(surface.get(), CAIRO_MIME_TYPE_JPEG, bytes, picture.jpeg.size(), free_bytes,
                                bytes);
    return surface;
}

}  // namespace

void draw_stroke(cairo_t* cairo, const Stroke& stroke, PangoContext* context) {
    if (stroke.points.empty()) return;
    if (stroke.kind == StrokeKind::text) return write(cairo, stroke, context);
    trace(cairo, stroke);
    if (!stroke.fill.empty()) {
        set_colour(cairo, stroke.fill);
        cairo_fill_preserve(cairo);
    }
    if (stroke.width <= 0) return cairo_new_path(cairo);
    set_colour(cairo, stroke.colour, stroke.opacity);
    cairo_set_line_width(cairo, stroke.width);
    const bool dashed = stroke.dashes[0] > 0 && stroke.dashes[1] > 0;
    cairo_set_dash(cairo, stroke.dashes.data(), dashed ? 2 : 0, 0);
    cairo_stroke(cairo);
}

void set_colour(cairo_t* cairo, const std::string& colour, double opacity) {
    std::array<double, 3> channels{};
    for (std::size_t i = 0; i < 3; ++i)
        channels[i] = colour.size() == 4 ? digit(colour, i + 1) / 15.0
                                         : (16 * digit(colour, 2 * i + 1) + digit(colour, 2 * i + 2)) / 255.0;
    cairo_set_source_rgba(cairo, channels[0], channels[1], channels[2], opacity);
}

void draw_sign(cairo_t* cairo, Sign sign, double size) {
    cairo_save(cairo);
    cairo_scale(cairo, size / 14, size / 14);
    cairo_new_path(cairo);
    const auto diamond = [cairo](double width, const char* colour) {
        for (const auto& [x, y] : {std::pair{7.0, 1.4}, {12.6, 7.0}, {7.0, 12.6}, {1.4, 7.0}})
            cairo_line_to(cairo, x, y);
        cairo_close_path(cairo);
        set_colour(cairo, colour);
        cairo_set_line_width(cairo, width);
        cairo_stroke(cairo);
    };
    switch (sign) {
        case Sign::disc:
            set_colour(cairo, "#009E73");
            cairo_arc(cairo, 7, 7, 5.6, 0, 2 * M_PI);
            break;
        case Sign::square:
            set_colour(cairo, "#D55E00");
            cairo_rectangle(cairo, 1.8, 1.8, 10.4, 10.4);
            break;
        case Sign::diamond:
            // Orange alone is under 3 : 1 on white, so a line of ink runs round it.
            diamond(2.5, "#1d1f21");
            diamond(1.5, "#E69F00");
            break;
        case Sign::dash:
            set_colour(cairo, "#767676");
            cairo_rectangle(cairo, 2, 5.8, 10, 2.4);
            break;
        case Sign::box:
            set_colour(cairo, "#1d1f21");
            cairo_set_line_width(cairo, 1);
            cairo_rectangle(cairo, 2.5, 2.5, 9, 9);
            cairo_stroke(cairo);
            break;
        case Sign::dot:
            set_colour(cairo, "#45484b");
            cairo_arc(cairo, 7, 7, 1.9, 0, 2 * M_PI);
            break;
        case Sign::none:
            break;
    }
    cairo_fill(cairo);
    cairo_restore(cairo);
}

void draw_picture(cairo_t* cairo, const Picture& picture, double width, double height,
                  PangoContext* context) {
    cairo_save(cairo);
    cairo_rectangle(cairo, 0, 0, width, height);
    cairo_clip(cairo);
    cairo_scale(cairo, width / picture.width, height / picture.height);
    if (!picture.jpeg.empty()) {
        const OwnedByUs<cairo_surface_t> surface = jpeg_surface(picture);
        cairo_set_source_surface(cairo, surface.get(), 0, 0);
        cairo_paint(cairo);
    }
    for (const Stroke& stroke : picture.strokes)
        draw_stroke(cairo, stroke, context);
    cairo_restore(cairo);
}

}  // namespace plumbmark::report::paper
