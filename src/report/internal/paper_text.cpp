#include <algorithm>
#include <cmath>

#include "report/internal/paper_slices.h"
#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

struct Look {
    double size;
    bool strong;
    double line;  ///< height of a line in sizes
    const char* colour;
    const char* role;
};

Look usual_look(Style style) {
    switch (style) {
        case Style::title:
            return {14, true, 1.25, "#1d1f21", "H1"};
        case Style::heading:
            return {9.4, true, 1.3, "#1d1f21", "H2"};
        case Style::subheading:
            return {9.8, true, 1.3, "#1d1f21", "H3"};
        case Style::lead:
            return {10.5, false, 1.34, "#1d1f21", "P"};
        case Style::body:
            return {9, false, 1.34, "#1d1f21", "P"};
        case Style::note:
            return {8, false, 1.32, "#45484b", "P"};
        case Style::fine:
            break;
    }
    return {7.6, false, 1.32, "#45484b", "P"};
}

Look look_of(Style style, double scale) {
    Look look = usual_look(style);
    look.size *= scale;
    return look;
}

constexpr double kSignSize = 10;
constexpr double kSignGap = 5;
constexpr double kEndGap = 12;
/// A word at a line's end leaves at least this share of it to the line.
constexpr double kMostEnd = 0.4;

double points(int pango_units) {
    return static_cast<double>(pango_units) / PANGO_SCALE;
}

/// The words as one text, and which bytes of it are strong.
struct Joined {
    std::string text;
    std::vector<std::pair<std::size_t, std::size_t>> strong;
};

Joined join(const std::vector<Words>& words) {
    Joined joined;
    for (const Words& one : words) {
        const std::size_t from = joined.text.size();
        joined.text += printable(one.text);
        if (one.strong) joined.strong.emplace_back(from, joined.text.size());
    }
    return joined;
}

OwnedByUs<PangoAttrList> attributes(const Joined& joined, bool all_strong) {
    OwnedByUs<PangoAttrList> list(pango_attr_list_new());
    pango_attr_list_insert(list.get(), pango_attr_font_features_new("tnum=1"));
    // A name that is broken anywhere is still written as it is: no hyphen that it does not have.
    pango_attr_list_insert(list.get(), pango_attr_insert_hyphens_new(FALSE));
    const auto strong = [&list](std::size_t from, std::size_t until) {
        PangoAttribute* weight = pango_attr_weight_new(PANGO_WEIGHT_SEMIBOLD);
        weight->start_index = static_cast<guint>(from);
        weight->end_index = static_cast<guint>(until);
        pango_attr_list_insert(list.get(), weight);
    };
    if (all_strong) strong(0, joined.text.size());
    for (const auto& [from, until] : joined.strong)
        strong(from, until);
    return list;
}

OwnedByUs<PangoContext> printing_context() {
    // Pango's default font map belongs to the calling thread (since 1.32.6), so no lock is needed.
    OwnedByUs<PangoContext> context(pango_font_map_create_context(pango_cairo_font_map_get_default()));
    const OwnedByUs<cairo_font_options_t> options(cairo_font_options_create());
    // Paper has no grid of pixels: letters stand where their outlines want them.
    cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context.get(), options.get());
    pango_cairo_context_set_resolution(context.get(), 72);
    pango_context_set_round_glyph_positions(context.get(), FALSE);
    pango_context_set_language(context.get(), pango_language_from_string("en"));
    pango_context_set_base_dir(context.get(), PANGO_DIRECTION_LTR);
    return context;
}

}  // namespace

Slicer::Slicer(double tallest, double scale)
    : tallest_(tallest), scale_(scale), context_(printing_context()) {}

Slicer::Text Slicer::text(const std::vector<Words>& words, Style style, double width, bool right) {
    const Look look = look_of(style, scale_);
    const Joined joined = join(words);
    Text made;
    made.layout = {pango_layout_new(context_.get()), ReleasePango{}};
    PangoLayout* layout = made.layout.get();
    const OwnedByUs<PangoFontDescription> font(pango_font_description_from_string(kFontFamilies));
    pango_font_description_set_absolute_size(font.get(), look.size * PANGO_SCALE);
    pango_layout_set_font_description(layout, font.get());
    const OwnedByUs<PangoAttrList> list = attributes(joined, look.strong);
    pango_layout_set_attributes(layout, list.get());
    pango_layout_set_width(layout, static_cast<int>(std::lround(std::max(1.0, width) * PANGO_SCALE)));
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    // Sentences are English whatever name they begin with.
    pango_layout_set_auto_dir(layout, FALSE);
    if (right) pango_layout_set_alignment(layout, PANGO_ALIGN_RIGHT);
    pango_layout_set_text(layout, joined.text.data(), static_cast<int>(joined.text.size()));
    return made;
}

Slicer::Roles Slicer::role(const Roles& within, const char* name) {
    Roles roles = within;
    roles.push_back({name, next_++});
    return roles;
}

/// A short word at the right end of a first line; 'taken' is how much of the width that leaves away.
Piece Slicer::first_line_end(const std::string& words, Style style, double width, double& taken,
                             const Roles& roles) {
    const Text end = text({{words, true}}, Style::body, width, false);
    pango_layout_set_width(end.layout.get(), -1);
    PangoRectangle box;
    pango_layout_get_extents(end.layout.get(), nullptr, &box);
    const double long_as = std::min(points(box.width), width * kMostEnd);
    if (points(box.width) > long_as) {
        pango_layout_set_width(end.layout.get(), static_cast<int>(long_as * PANGO_SCALE));
        pango_layout_set_ellipsize(end.layout.get(), PANGO_ELLIPSIZE_END);
    }
    taken = long_as + kEndGap;
    const double drop = (look_of(style, scale_).size - look_of(Style::body, scale_).size) * 0.9;
    Piece piece{width - long_as, std::max(0.0, drop), roles, nullptr};
    piece.draw = [layout = end.layout](cairo_t* cairo) {
        set_colour(cairo, "#1d1f21");
        cairo_move_to(cairo, 0, 0);
        pango_cairo_show_layout(cairo, layout.get());
    };
    return piece;
}

std::vector<Slice> Slicer::cut(const Paragraph& paragraph, double width, const Roles& within) {
    const Look look = look_of(paragraph.style, scale_);
    const Roles roles = role(within, look.role);
    const bool hangs = paragraph.sign != Sign::none || !paragraph.label.empty();
    double hang = paragraph.sign != Sign::none ? kSignSize + kSignGap : 0;
    Text label;
    if (!paragraph.label.empty()) {
        label = text({{paragraph.label}}, Style::note, width / 3, false);
        PangoRectangle box;
        pango_layout_get_extents(label.layout.get(), nullptr, &box);
        hang = std::max(hang + 18, points(box.width) + kSignGap);
    }
    double end_taken = 0;
    Piece end;
    if (!paragraph.end.empty()) end = first_line_end(paragraph.end, paragraph.style, width, end_taken, roles);

    const Text body = text(paragraph.words, paragraph.style, width - hang - end_taken, paragraph.right);
    std::vector<Slice> slices;
    const OwnedByUs<PangoLayoutIter> at(pango_layout_get_iter(body.layout.get()));
    do {
        PangoRectangle ink, logical;
        pango_layout_iter_get_line_extents(at.get(), &ink, &logical);
        // Scripts that stand higher than Latin letters get the room they need.
        const double height = std::max(look.size * look.line, points(logical.height) * 0.98);
        const double baseline = points(pango_layout_iter_get_baseline(at.get()) - logical.y) +
                                (height - points(logical.height)) / 2;
        Slice slice;
        slice.height = height;
        const int number = static_cast<int>(slices.size());
        Piece piece{hang + points(logical.x), baseline, roles, nullptr};
        piece.draw = [layout = body.layout, number, colour = look.colour](cairo_t* cairo) {
            set_colour(cairo, colour);
            cairo_move_to(cairo, 0, 0);
            pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(layout.get(), number));
        };
        slice.pieces.push_back(std::move(piece));
        slices.push_back(std::move(slice));
    } while (pango_layout_iter_next_line(at.get()));

    Slice& first = slices.front();
    if (hangs && paragraph.sign != Sign::none) {
        Piece sign{0, (first.height - kSignSize) / 2, {}, nullptr};
        sign.draw = [what = paragraph.sign](cairo_t* cairo) { draw_sign(cairo, what, kSignSize); };
        first.pieces.insert(first.pieces.begin(), std::move(sign));
    }
    if (label.layout) {
        Piece number{paragraph.sign != Sign::none ? kSignSize + kSignGap : 0, 0.4, roles, nullptr};
        number.draw = [layout = label.layout](cairo_t* cairo) {
            set_colour(cairo, "#45484b");
            cairo_move_to(cairo, 0, 0);
            pango_cairo_show_layout(cairo, layout.get());
        };
        first.pieces.insert(first.pieces.begin(), std::move(number));
    }
    if (end.draw) first.pieces.push_back(std::move(end));
    // No single line of a paragraph stands alone at a page's end or beginning; a heading never ends a page.
    if (slices.size() > 1) {
        slices.front().stays_with_next = true;
        slices[slices.size() - 2].stays_with_next = true;
    }
    const bool is_heading = paragraph.style == Style::title || paragraph.style == Style::heading ||
                            paragraph.style == Style::subheading;
    if (is_heading)
        for (Slice& slice : slices)
            slice.stays_with_next = true;
    return slices;
}

Piece Slicer::foot_line(const std::string& words, double width, bool right) {
    const Text line = text({{words}}, Style::fine, width, right);
    pango_layout_set_ellipsize(line.layout.get(), PANGO_ELLIPSIZE_END);
    Piece piece{0, 0, {}, nullptr};
    piece.draw = [layout = line.layout](cairo_t* cairo) {
        set_colour(cairo, "#45484b");
        cairo_move_to(cairo, 0, 0);
        pango_cairo_show_layout(cairo, layout.get());
    };
    return piece;
}

}  // namespace plumbmark::report::paper
