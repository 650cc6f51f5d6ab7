#include <cairo-pdf.h>
#include <fmt/format.h>

#include <algorithm>

#include "base/worded.h"
#include "report/internal/paper_pages.h"
#include "report/internal/pdf_finish.h"
#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

constexpr double kLeft = 34, kTop = 26, kBottom = 36, kFootLine = 24;

struct Extent {
    double width, height;
    [[nodiscard]] double inner_width() const { return width - 2 * kLeft; }
    [[nodiscard]] double inner_height() const { return height - kTop - kBottom; }
};

Extent extent_of(PaperSize size) {
    constexpr double kMillimetre = 72 / 25.4;
    return size == PaperSize::letter ? Extent{612, 792} : Extent{210 * kMillimetre, 297 * kMillimetre};
}

cairo_status_t append(void* out, const unsigned char* bytes, unsigned int count) {
    static_cast<std::string*>(out)->append(reinterpret_cast<const char*>(bytes), count);
    return CAIRO_STATUS_SUCCESS;
}

/// Draws pieces and keeps the document's structure in step: elements open and close as the roles change.
class Writer {
  public:
    explicit Writer(cairo_t* cairo) : cairo_(cairo) {}

    void draw(const Piece& piece, double x, double y) {
        cairo_save(cairo_);
        cairo_translate(cairo_, x + piece.x, y + piece.y);
        piece.draw(cairo_);
        cairo_restore(cairo_);
    }

    void draw_read(const Piece& piece, double x, double y) {
        go_to(piece.roles);
        if (!piece.says.empty() || std::string(piece.roles.back().name) == "Figure")
            pictures_.push_back(piece.says);
        draw(piece, x, y);
    }

    void go_to(const std::vector<Role>& roles) {
        const auto [same, there] = std::mismatch(open_.begin(), open_.end(), roles.begin(), roles.end());
        const auto keep = static_cast<std::size_t>(same - open_.begin());
        while (open_.size() > keep) {
            cairo_tag_end(cairo_, open_.back().name);
            open_.pop_back();
        }
        for (std::size_t i = keep; i < roles.size(); ++i) {
            cairo_tag_begin(cairo_, roles[i].name, nullptr);
            open_.push_back(roles[i]);
        }
    }

    [[nodiscard]] const std::vector<std::string>& pictures() const { return pictures_; }

  private:
    cairo_t* cairo_;
    std::vector<Role> open_;
    std::vector<std::string> pictures_;  ///< what each shows, in the order drawn
};

/// A sheet cut up for its pages, with what stands above each.
struct Laid {
    Laid(const Sheet& sheet, const Extent& extent) : slicer(extent.inner_height(), sheet.scale) {
        top = slicer.slices(sheet.top, extent.inner_width());
        if (!top.empty()) top_height = height_of(top) + kUnderTop;
        const double room = extent.inner_height() - top_height;
        slicer.set_tallest(room);
        slices = slicer.slices(sheet.blocks, extent.inner_width());
        pages = deal(slices, room);
    }
    static constexpr double kUnderTop = 8;
    Slicer slicer;
    std::vector<Slice> top, slices;
    double top_height = 0;
    std::vector<Page> pages;
};

/// Read on the first page alone: on the others it would be read into the midst of what goes on there.
void draw_top(Writer& writer, const std::vector<Slice>& top, bool first) {
    for (const bool read : {false, true}) {
        double y = kTop;
        for (const Slice& slice : top) {
            if (&slice != &top.front()) y += slice.above;
            for (const Piece& piece : slice.pieces) {
                if (piece.roles.empty() == read) continue;
                read&& first ? writer.draw_read(piece, kLeft, y) : writer.draw(piece, kLeft, y);
            }
            y += slice.height;
        }
    }
    writer.go_to({});
}

void draw_page(Writer& writer, const Page& page, double top) {
    for (const bool read : {false, true}) {
        for (const OnPage& at : page)
            for (const Piece& piece : at.slice->pieces) {
                if (piece.roles.empty() == read) continue;
                read ? writer.draw_read(piece, kLeft, top + at.y) : writer.draw(piece, kLeft, top + at.y);
            }
    }
    writer.go_to({});
}

void draw_foot(Writer& writer, Slicer& slicer, const Sheet& sheet, const Extent& extent, std::size_t number,
               std::size_t count) {
    constexpr double kNumber = 90;
    const double y = extent.height - kFootLine;
    writer.draw(slicer.foot_line(sheet.foot, extent.inner_width() - kNumber, false), kLeft, y);
    writer.draw(slicer.foot_line(fmt::format("page {} of {}", number, count), kNumber, true),
                extent.width - kLeft - kNumber, y);
}

void describe(cairo_surface_t* surface, const Sheet& sheet) {
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, plain(sheet.title).c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, plain(sheet.maker).c_str());
}

}  // namespace

base::Result<std::string> make_pdf(const Sheet& sheet, PaperSize size, int* pages) {
    const Extent extent = extent_of(size);
    Laid laid(sheet, extent);
    const std::vector<Page>& dealt = laid.pages;
    if (pages != nullptr) *pages = static_cast<int>(dealt.size());

    std::string bytes;
    const OwnedByUs<cairo_surface_t> surface(
        cairo_pdf_surface_create_for_stream(append, &bytes, extent.width, extent.height));
    describe(surface.get(), sheet);
    const OwnedByUs<cairo_t> cairo(cairo_create(surface.get()));
    Writer writer(cairo.get());
    for (std::size_t i = 0; i < dealt.size(); ++i) {
        draw_top(writer, laid.top, i == 0);
        draw_page(writer, dealt[i], kTop + laid.top_height);
        draw_foot(writer, laid.slicer, sheet, extent, i + 1, dealt.size());
        cairo_show_page(cairo.get());
    }
    cairo_surface_finish(surface.get());
    const cairo_status_t status = std::max(cairo_status(cairo.get()), cairo_surface_status(surface.get()));
    if (status != CAIRO_STATUS_SUCCESS)
        return base::Error{base::Category::io,
                           base::worded("The PDF could not be drawn ({}); the page (HTML) says the same.",
                                        cairo_status_to_string(status)),
                           "PDF"};
    return finish_pdf(bytes, writer.pictures());
}

int pages_of(const Sheet& sheet, PaperSize size) {
    return static_cast<int>(Laid(sheet, extent_of(size)).pages.size());
}

}  // namespace plumbmark::report::paper
