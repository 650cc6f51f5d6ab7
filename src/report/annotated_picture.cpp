#include "report/annotated_picture.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <utility>

#include "base/text.h"
#include "base/worded.h"
#include "report/internal/paper_parts.h"
#include "report/internal/paper_slices.h"
#include "report/internal/pixel_drawing.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/still_overlay.h"

namespace plumbmark::report {
namespace {

// The sheet's own paper and ink.
constexpr const char* kPaper = "#f7f5f0";
constexpr const char* kInk = "#1d1f21";
constexpr const char* kNoLimb = "#8c8c8c";

// Lengths in units of 1/640 of the picture's longer side.
constexpr double kLetters = 10.5, kSmallLetters = 9.5, kMargin = 8, kRow = 16, kSquare = 12;
constexpr double kRing = 13, kPastRing = 6;
constexpr int kSentenceLines = 3;

struct LineStyle {
    double size = 0;
    bool strong = false;
    int lines = 1;
};

/// Broken into lines of this width, at most so many, the last cut short where there is more.
OwnedByUs<PangoLayout> lay_out(PangoContext* context, const std::string& words, double width,
                               const LineStyle& style) {
    OwnedByUs<PangoLayout> layout(pango_layout_new(context));
    const OwnedByUs<PangoFontDescription> font(pango_font_description_from_string(kFontFamilies));
    pango_font_description_set_absolute_size(font.get(), style.size * PANGO_SCALE);
    if (style.strong) pango_font_description_set_weight(font.get(), PANGO_WEIGHT_SEMIBOLD);
    pango_layout_set_font_description(layout.get(), font.get());
    const OwnedByUs<PangoAttrList> attributes(pango_attr_list_new());
    pango_attr_list_insert(attributes.get(), pango_attr_font_features_new("tnum=1"));
    pango_layout_set_attributes(layout.get(), attributes.get());
    pango_layout_set_width(layout.get(), static_cast<int>(std::max(1.0, width) * PANGO_SCALE));
    pango_layout_set_height(layout.get(), -style.lines);
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    const std::string text = printable(words);
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    return layout;
}

double height_of(PangoLayout* layout) {
    int height = 0;
    pango_layout_get_size(layout, nullptr, &height);
    return static_cast<double>(height) / PANGO_SCALE;
}

LineStyle heading_style(double unit) {
    return {kLetters * unit, true, 2};
}
LineStyle sentence_style(double unit) {
    return {kSmallLetters * unit, false, kSentenceLines};
}

/// Where words begin beside a sign or a square.
double words_at(double unit) {
    return (kMargin + kSquare + 6) * unit;
}

const char* colour_of(std::optional<course::Part> part) {
    return part ? limb_colour(*part) : kNoLimb;
}

/// Ink or white, whichever stands out more on it; of the limbs' colours the dark ones want white.
const char* letters_on(course::Part part) {
    return part == course::Part::left_foot || part == course::Part::right_foot ? "#ffffff" : kInk;
}

PictureOverlay overlay_of(const PictureMarks& marks, int width, int height, double unit) {
    PictureOverlay over{width, height, unit, marks.outlines, {}, true};
    for (const PictureSpot& spot : marks.spots)
        over.spots.push_back({spot.at, (spot.past ? kPastRing : kRing) * unit, colour_of(spot.part)});
    return over;
}

/// The band below a picture, row by row; the origin is its upper left corner.
class Band {
  public:
    Band(cairo_t* cairo, PangoContext* context, double width, double unit)
        : cairo_(cairo), context_(context), width_(width), unit_(unit) {}

    void frame_line(const std::string& words) {
        write(words, kMargin * unit_, y_, {kSmallLetters * unit_, false, 1}, kInk);
        y_ += kRow * unit_;
    }

    void caption(const PictureCaption& caption, double height) {
        const double at = caption.verdict ? words_at(unit_) : kMargin * unit_;
        if (caption.verdict) {
            cairo_save(cairo_);
            cairo_translate(cairo_, kMargin * unit_, y_ + unit_);
            paper::draw_sign(cairo_, paper::sign_of(*caption.verdict), kSquare * unit_);
            cairo_restore(cairo_);
        }
        const double under = y_ + write(caption.heading, at, y_, heading_style(unit_), kInk);
        if (!caption.sentence.empty()) write(caption.sentence, at, under, sentence_style(unit_), kInk);
        y_ += height;
    }

    void note(const PictureNote& note) {
        paper::set_colour(cairo_, colour_of(note.part));
        cairo_rectangle(cairo_, kMargin * unit_, y_ + unit_, (kSquare + 2) * unit_, kSquare * unit_);
        cairo_fill(cairo_);
        if (note.part) letters(*note.part);
        row(note.words);
    }

    void row(const std::string& words) {
        write(words, words_at(unit_), y_, {kSmallLetters * unit_, false, 1}, kInk);
        y_ += kRow * unit_;
    }

    void skip(double y) { y_ += y; }

  private:
    double write(const std::string& words, double x, double y, const LineStyle& style, const char* colour) {
        const auto layout = lay_out(context_, words, width_ - x - kMargin * unit_, style);
        paper::set_colour(cairo_, colour);
        cairo_move_to(cairo_, x, y);
        pango_cairo_show_layout(cairo_, layout.get());
        return report::height_of(layout.get());
    }

    void letters(course::Part part) {
        const auto layout = lay_out(context_, limb_letters(part), 100 * unit_, {8 * unit_, true, 1});
        int wide = 0, high = 0;
        pango_layout_get_size(layout.get(), &wide, &high);
        paper::set_colour(cairo_, letters_on(part));
        cairo_move_to(cairo_,
                      (kMargin + (kSquare + 2) / 2) * unit_ - static_cast<double>(wide) / PANGO_SCALE / 2,
                      y_ + unit_ + kSquare * unit_ / 2 - static_cast<double>(high) / PANGO_SCALE / 2);
        pango_cairo_show_layout(cairo_, layout.get());
    }

    cairo_t* cairo_;
    PangoContext* context_;
    double width_, unit_, y_ = 0;
};

/// Cairo's pixels are native-endian words, ours are bytes; both opaque here.
void to_cairo(const media::RgbaImage& picture, unsigned char* rows, std::size_t stride) {
    const std::uint8_t* from = picture.pixels.data();
    for (int y = 0; y < picture.height; ++y) {
        unsigned char* row = rows + static_cast<std::size_t>(y) * stride;
        for (int x = 0; x < picture.width; ++x, from += 4, row += 4) {
            const std::uint32_t word = 0xFF000000U | static_cast<std::uint32_t>(from[0]) << 16 |
                                       static_cast<std::uint32_t>(from[1]) << 8 | from[2];
            std::memcpy(row, &word, 4);
        }
    }
}

}  // namespace

const char* part_letters(course::Part part) {
    return limb_letters(part);
}

PictureAnnotator::PictureAnnotator(int width, int height, std::optional<PictureCaption> caption,
                                   std::size_t note_rows)
    : width_(width),
      height_(height),
      // Small pictures get letters that can still be read.
      unit_(std::max(1.0, std::max(width, height) / 640.0)),
      caption_(std::move(caption)),
      note_rows_(std::min(note_rows, kMostNoteRows)) {
    const auto context = pixel_text_context();
    if (caption_) {
        const double room = width - (caption_->verdict ? words_at(unit_) : kMargin * unit_) - kMargin * unit_;
        double high =
            report::height_of(lay_out(context.get(), caption_->heading, room, heading_style(unit_)).get());
        if (!caption_->sentence.empty())
            high += report::height_of(
                lay_out(context.get(), caption_->sentence, room, sentence_style(unit_)).get());
        caption_height_ = static_cast<int>(std::ceil(high + 4 * unit_));
    }
    band_ = caption_height_ +
            static_cast<int>(std::ceil((10 + kRow * (1 + static_cast<double>(note_rows_))) * unit_));
    if ((height_ + band_) % 2 != 0) ++band_;  // as a coded picture wants it
}

base::Result<media::RgbaImage> PictureAnnotator::draw(const media::RgbaImage& picture,
                                                      const PictureMarks& marks) const {
    const auto bytes = std::size_t{4} * static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_);
    if (picture.width != width_ || picture.height != height_ || picture.pixels.size() != bytes)
        return base::Error{base::Category::bad_input,
                           base::worded("A picture of {} by {} does not fit where {} by {} is drawn.",
                                        picture.width, picture.height, width_, height_),
                           ""};
    const OwnedByUs<cairo_surface_t> surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, width(), height()));
    const OwnedByUs<cairo_t> cairo(cairo_create(surface.get()));
    if (cairo_status(cairo.get()) != CAIRO_STATUS_SUCCESS)
        return base::Error{base::Category::io,
                           base::worded("The picture cannot be drawn; memory may be short."), ""};
    const auto context = pixel_text_context();
    paper::set_colour(cairo.get(), kPaper);
    cairo_paint(cairo.get());
    cairo_surface_flush(surface.get());
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get()));
    to_cairo(picture, cairo_image_surface_get_data(surface.get()), stride);
    cairo_surface_mark_dirty(surface.get());

    cairo_save(cairo.get());
    cairo_rectangle(cairo.get(), 0, 0, width_, height_);
    cairo_clip(cairo.get());
    for (const paper::Stroke& stroke : picture_overlay(overlay_of(marks, width_, height_, unit_)))
        paper::draw_stroke(cairo.get(), stroke, context.get());
    cairo_restore(cairo.get());

    cairo_translate(cairo.get(), 0, height_);
    Band band(cairo.get(), context.get(), width_, unit_);
    band.skip(5 * unit_);
    band.frame_line(marks.frame_line);
    if (caption_) band.caption(*caption_, caption_height_);
    const bool all = marks.notes.size() <= note_rows_;
    const std::size_t shown = all ? marks.notes.size() : note_rows_ - std::min<std::size_t>(1, note_rows_);
    for (std::size_t i = 0; i < shown; ++i)
        band.note(marks.notes[i]);
    if (!all && note_rows_ > 0)
        band.row("and " + base::counted(static_cast<std::int64_t>(marks.notes.size() - shown), "more mark"));

    cairo_surface_flush(surface.get());
    if (cairo_status(cairo.get()) != CAIRO_STATUS_SUCCESS)
        return base::Error{base::Category::io,
                           base::worded("The picture cannot be drawn; memory may be short."), ""};
    return opaque_picture(surface.get(), width(), height());
}

}  // namespace plumbmark::report
