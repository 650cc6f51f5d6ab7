// Blocks cut into slices: the strips of a page between which a page may end.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "report/internal/pango_objects.h"
#include "report/internal/paper.h"

namespace plumbmark::report::paper {

/// One element of the document's structure that a piece stands in: its role, and which one it is. Pieces that
/// follow each other with the same ones are one element.
struct Role {
    const char* name = "P";  ///< a structure type of ISO 32000-1, 14.8.4
    int which = 0;
    friend bool operator==(const Role&, const Role&) = default;
};

/// Something drawn at a place of a slice.
struct Piece {
    double x = 0, y = 0;                 ///< from the slice's upper left corner
    std::vector<Role> roles;             ///< outermost first; empty: mere decoration, no part of what is read
    std::function<void(cairo_t*)> draw;  ///< with its place as the origin
    std::string says = {};               ///< of a picture
};

struct Slice {
    double above = 0;  ///< falls away at the top of a page
    double height = 0;
    bool stays_with_next = false;
    std::vector<Piece> pieces;
    std::shared_ptr<const Slice> head = nullptr;  ///< repeated above it where it is the first of a page
};

/// Lays blocks out in a width; 'tallest' is what a page holds, 'scale' that of letters and spaces. Not to be
/// shared between threads.
class Slicer {
  public:
    Slicer(double tallest, double scale);
    /// For what is laid out from now on.
    void set_tallest(double tallest) { tallest_ = tallest; }

    [[nodiscard]] std::vector<Slice> slices(const std::vector<Block>& blocks, double width);

    /// One line of small text, cut short where it is longer than 'width'.
    [[nodiscard]] Piece foot_line(const std::string& text, double width, bool right);

  private:
    using Roles = std::vector<Role>;

    void add(std::vector<Slice>& out, const Block& block, double width, const Roles& within);
    void add(std::vector<Slice>& out, const std::vector<Block>& blocks, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Paragraph& paragraph, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Picture& picture, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Table& table, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Line& line, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Beside& beside, double width, const Roles& within);
    [[nodiscard]] std::vector<Slice> cut(const Group& group, double width, const Roles& within);
    [[nodiscard]] Slice table_row(const Table& table, const std::vector<std::string>& cells,
                                  const std::vector<double>& widths, const Roles& within, bool head);
    [[nodiscard]] std::vector<Slice> row_as_lines(const Table& table, const std::vector<std::string>& cells,
                                                  double width, const Roles& within);

    struct Text {
        std::shared_ptr<PangoLayout> layout;
        double height = 0;
    };
    [[nodiscard]] Text text(const std::vector<Words>& words, Style style, double width, bool right);
    [[nodiscard]] Piece first_line_end(const std::string& words, Style style, double width, double& taken,
                                       const Roles& roles);
    [[nodiscard]] Roles role(const Roles& within, const char* name);

    double tallest_, scale_;
    OwnedByUs<PangoContext> context_;
    int next_ = 0;
};

/// How high slices are one below the other, without the space above the first.
[[nodiscard]] double height_of(const std::vector<Slice>& slices);

/// All of them as one slice that no page end parts, moved right by 'x'.
[[nodiscard]] Slice joined(std::vector<Slice> slices, double x);

/// The colour "#rgb" or "#rrggbb" as Cairo's source.
void set_colour(cairo_t* cairo, const std::string& colour, double opacity = 1);

/// A shape of a sign, 'size' high, with its upper left corner at the origin.
void draw_sign(cairo_t* cairo, Sign sign, double size);

/// One stroke in the picture's own pixels.
void draw_stroke(cairo_t* cairo, const Stroke& stroke, PangoContext* context);

/// The picture scaled to this size at the origin, with its strokes over it.
void draw_picture(cairo_t* cairo, const Picture& picture, double width, double height, PangoContext* context);

}  // namespace plumbmark::report::paper
