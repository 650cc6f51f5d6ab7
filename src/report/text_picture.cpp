#include "report/text_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "base/text.h"
#include "report/internal/pixel_drawing.h"

namespace plumbmark::report {
namespace {

constexpr double kSmallest = 4, kLargest = 512;
constexpr int kWidest = 16384;
/// A line of more bytes than this cannot fit kWidest at any size anyone reads; shaping it would take seconds.
constexpr std::size_t kMostBytes = 16384;

template <class T>
using Owned = OwnedByUs<T>;

base::Error refused(std::string sentence) {
    return {base::Category::bad_input, std::move(sentence), "text picture"};
}

/// One line: nothing that would start another, and nothing that has no picture.
std::string one_line(std::string text) {
    for (char& c : text)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = ' ';
    for (const char* separator : {"\u2028", "\u2029", "\u0085"})
        for (std::size_t at; (at = text.find(separator)) != std::string::npos;)
            text.replace(at, std::strlen(separator), " ");
    return text;
}

Owned<PangoLayout> make_layout(const std::string& utf8, double pixel_height) {
    const Owned<PangoContext> context = pixel_text_context();
    Owned<PangoLayout> layout(pango_layout_new(context.get()));
    const Owned<PangoFontDescription> font(pango_font_description_from_string(kFontFamilies));
    pango_font_description_set_absolute_size(font.get(), pixel_height * PANGO_SCALE);
    pango_layout_set_font_description(layout.get(), font.get());
    const Owned<PangoAttrList> attributes(pango_attr_list_new());
    pango_attr_list_insert(attributes.get(), pango_attr_font_features_new("tnum=1"));
    pango_layout_set_attributes(layout.get(), attributes.get());
    const std::string line = one_line(utf8);
    pango_layout_set_text(layout.get(), line.data(), static_cast<int>(line.size()));
    return layout;
}

base::Result<void> check_text(const std::string& utf8) {
    if (!base::is_utf8(utf8)) return refused("the text is not UTF-8; give it in UTF-8");
    if (utf8.size() > kMostBytes)
        return refused(fmt::format("the text has {} bytes; a line may have {}", utf8.size(), kMostBytes));
    return {};
}

/// The box that holds both the line and every stroke that sticks out of it, in whole pixels.
PangoRectangle extent(PangoLayout* layout) {
    PangoRectangle ink, line;
    pango_layout_get_extents(layout, &ink, &line);
    const int left = std::min(ink.x, line.x), top = std::min(ink.y, line.y);
    const int right = std::max(ink.x + ink.width, line.x + line.width);
    const int bottom = std::max(ink.y + ink.height, line.y + line.height);
    PangoRectangle box{};
    box.x = static_cast<int>(std::floor(static_cast<double>(left) / PANGO_SCALE));
    box.y = static_cast<int>(std::floor(static_cast<double>(top) / PANGO_SCALE));
    box.width = std::max(1, static_cast<int>(std::ceil(static_cast<double>(right) / PANGO_SCALE)) - box.x);
    box.height = std::max(1, static_cast<int>(std::ceil(static_cast<double>(bottom) / PANGO_SCALE)) - box.y);
    return box;
}

/// Cairo's pixels are native-endian words with colour multiplied by alpha; ours are bytes with it divided
/// out.
media::RgbaImage straight(cairo_surface_t* surface, int width, int height) {
    media::RgbaImage image{width, height, {}};
    image.pixels.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 4);
    const unsigned char* rows = cairo_image_surface_get_data(surface);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    std::uint8_t* out = image.pixels.data();
    for (std::size_t y = 0; y < static_cast<std::size_t>(height); ++y) {
        for (std::size_t x = 0; x < static_cast<std::size_t>(width); ++x, out += 4) {
            std::uint32_t word = 0;
            std::memcpy(&word, rows + y * stride + x * 4, 4);
            const std::uint32_t alpha = word >> 24;
            const auto divided = [alpha](std::uint32_t channel) {
                return static_cast<std::uint8_t>(
                    alpha == 0 ? 0 : std::min<std::uint32_t>(255, (channel * 255 + alpha / 2) / alpha));
            };
            out[0] = divided((word >> 16) & 0xFF);
            out[1] = divided((word >> 8) & 0xFF);
            out[2] = divided(word & 0xFF);
            out[3] = static_cast<std::uint8_t>(alpha);
        }
    }
    return image;
}

}  // namespace

base::Result<media::RgbaImage> draw_text(const std::string& utf8, double pixel_height,
                                         std::array<std::uint8_t, 4> rgba) {
    if (const auto checked = check_text(utf8); !checked) return checked.error();
    if (!(pixel_height >= kSmallest && pixel_height <= kLargest))
        return refused(fmt::format("a size of {} pixels is out of range; choose {} to {}", pixel_height,
                                   kSmallest, kLargest));
    const Owned<PangoLayout> layout = make_layout(utf8, pixel_height);
    const PangoRectangle box = extent(layout.get());
    if (box.width > kWidest)
        return refused(fmt::format("the line would be {} pixels wide; {} is the most", box.width, kWidest));

    const Owned<cairo_surface_t> surface(
        cairo_image_surface_create(CAIRO_FORMAT_ARGB32, box.width, box.height));
    const Owned<cairo_t> cairo(cairo_create(surface.get()));
    cairo_set_source_rgba(cairo.get(), rgba[0] / 255.0, rgba[1] / 255.0, rgba[2] / 255.0, rgba[3] / 255.0);
    cairo_move_to(cairo.get(), -box.x, -box.y);
    pango_cairo_show_layout(cairo.get(), layout.get());
    cairo_surface_flush(surface.get());
    if (cairo_status(cairo.get()) != CAIRO_STATUS_SUCCESS)
        return base::Error{
            base::Category::io,
            fmt::format("the text could not be drawn: {}", cairo_status_to_string(cairo_status(cairo.get()))),
            "text picture"};
    return straight(surface.get(), box.width, box.height);
}

base::Result<int> missing_glyphs(const std::string& utf8) {
    if (const auto checked = check_text(utf8); !checked) return checked.error();
    const Owned<PangoLayout> layout = make_layout(utf8, 16);
    return pango_layout_get_unknown_glyphs_count(layout.get());
}

}  // namespace plumbmark::report
