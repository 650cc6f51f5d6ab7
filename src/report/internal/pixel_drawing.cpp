#include "report/internal/pixel_drawing.h"

#include <cstdint>
#include <cstring>

namespace plumbmark::report {

OwnedByUs<PangoContext> pixel_text_context() {
    OwnedByUs<PangoContext> context(pango_font_map_create_context(pango_cairo_font_map_get_default()));
    const OwnedByUs<cairo_font_options_t> options(cairo_font_options_create());
    cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context.get(), options.get());
    return context;
}

media::RgbaImage opaque_picture(cairo_surface_t* surface, int width, int height) {
    media::RgbaImage image{width, height, {}};
    image.pixels.resize(std::size_t{4} * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    const unsigned char* rows = cairo_image_surface_get_data(surface);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    std::uint8_t* to = image.pixels.data();
    for (int y = 0; y < height; ++y) {
        const unsigned char* row = rows + static_cast<std::size_t>(y) * stride;
        for (int x = 0; x < width; ++x, row += 4, to += 4) {
            // Cairo's pixels are native-endian words, ours are bytes.
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

}  // namespace plumbmark::report
