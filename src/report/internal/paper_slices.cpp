#include "report/internal/paper_slices.h"

#include <algorithm>
#include <iterator>
#include <numeric>

#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

constexpr double kCellPad = 8;
constexpr double kGroupPad = 6;
constexpr double kBar = 3;
/// Columns higher than this share of a page are set one below the other, so that pages can end within them.
constexpr double kMostBeside = 0.5;

Piece filled(double x, double y, double width, double height, const char* colour) {
    Piece piece{x, y, {}, nullptr};
    piece.draw = [width, height, colour](cairo_t* cairo) {
        set_colour(cairo, colour);
        cairo_rectangle(cairo, 0, 0, width, height);
        cairo_fill(cairo);
    };
    return piece;
}

/// The fixed widths as they are, and shares of what they leave.
std::vector<double> column_widths(const std::vector<Column>& columns, double width) {
    double fixed = 0, shares = 0;
    for (const Column& column : columns)
        column.width > 0 ? fixed += column.width : shares += column.share;
    std::vector<double> widths;
    for (const Column& column : columns)
        widths.push_back(column.width > 0 ? column.width
                                          : std::max(1.0, (width - fixed) * column.share / shares));
    return widths;
}

}  // namespace

double height_of(const std::vector<Slice>& slices) {
    double height = 0;
    for (std::size_t i = 0; i < slices.size(); ++i)
        height += slices[i].height + (i > 0 ? slices[i].above : 0);
    return height;
}

Slice joined(std::vector<Slice> slices, double x) {
    Slice one;
    for (Slice& slice : slices) {
        if (one.height > 0) one.height += slice.above;
        for (Piece& piece : slice.pieces) {
            piece.x += x;
            piece.y += one.height;
            one.pieces.push_back(std::move(piece));
        }
        one.height += slice.height;
    }
    return one;
}

std::vector<Slice> Slicer::slices(const std::vector<Block>& blocks, double width) {
    std::vector<Slice> out;
    add(out, blocks, width, {});
    return out;
}

void Slicer::add(std::vector<Slice>& out, const std::vector<Block>& blocks, double width,
                 const Roles& within) {
    for (const Block& block : blocks)
        add(out, block, width, within);
}

void Slicer::add(std::vector<Slice>& out, const Block& block, double width, const Roles& within) {
    std::vector<Slice> made =
        std::visit([&](const auto& what) { return cut(what, width, within); }, block.what);
    if (made.empty()) return;
    made.front().above += block.above * scale_;
    if (block.leads) made.back().stays_with_next = true;
    std::move(made.begin(), made.end(), std::back_inserter(out));
}

std::vector<Slice> Slicer::cut(const Line&, double width, const Roles&) {
    Slice slice;
    slice.height = 1.5;
    slice.pieces.push_back(filled(0, 0.5, width, 0.6, "#1d1f21"));
    return {slice};
}

std::vector<Slice> Slicer::cut(const Picture& picture, double width, const Roles& within) {
    if (picture.width <= 0 || picture.height <= 0) return {};
    const double scale =
        std::min({width / picture.width, picture.most_height / picture.height, tallest_ / picture.height});
    const double wide = picture.width * scale, high = picture.height * scale;
    Slice slice;
    slice.height = high;
    Piece piece{0, 0, role(within, "Figure"), nullptr, picture.says};
    piece.draw = [picture, wide, high, context = context_.get()](cairo_t* cairo) {
        draw_picture(cairo, picture, wide, high, context);
    };
    slice.pieces.push_back(std::move(piece));
    return {slice};
}

Slice Slicer::table_row(const Table& table, const std::vector<std::string>& cells,
                        const std::vector<double>& widths, const Roles& within, bool head) {
    const Roles row = role(within, "TR");
    Slice slice;
    double x = 0;
    std::vector<Piece> pieces;
    for (std::size_t i = 0; i < widths.size() && i < cells.size(); ++i) {
        Paragraph words;
        words.style = head ? Style::note : Style::body;
        words.words = {{isolated(cells[i]), head}};
        words.right = table.columns[i].right;
        Slice cell = joined(cut(words, widths[i] - kCellPad, role(row, head ? "TH" : "TD")), x);
        slice.height = std::max(slice.height, cell.height);
        std::move(cell.pieces.begin(), cell.pieces.end(), std::back_inserter(pieces));
        x += widths[i];
    }
    for (Piece& piece : pieces)
        piece.y += 2;
    slice.height += 4.5;
    slice.pieces.push_back(filled(0, slice.height - 0.6, x, head ? 0.8 : 0.4, head ? "#1d1f21" : "#d8d4cb"));
    std::move(pieces.begin(), pieces.end(), std::back_inserter(slice.pieces));
    return slice;
}

std::vector<Slice> Slicer::row_as_lines(const Table& table, const std::vector<std::string>& cells,
                                        double width, const Roles& within) {
    std::vector<Slice> out;
    for (std::size_t i = 0; i < cells.size() && i < table.columns.size(); ++i) {
        if (cells[i].empty()) continue;
        Paragraph words;
        words.words = {{table.columns[i].title.empty() ? "" : table.columns[i].title + ": ", true},
                       {isolated(cells[i])}};
        std::vector<Slice> cell = cut(words, width, within);
        std::move(cell.begin(), cell.end(), std::back_inserter(out));
    }
    return out;
}

std::vector<Slice> Slicer::cut(const Table& table, double width, const Roles& within) {
    const std::vector<double> widths = column_widths(table.columns, width);
    const Roles whole = role(within, "Table");
    std::vector<std::string> titles;
    for (const Column& column : table.columns)
        titles.push_back(column.title);
    const auto head = std::make_shared<Slice>(table_row(table, titles, widths, whole, true));
    std::vector<Slice> out{*head};
    out.front().stays_with_next = true;
    for (const std::vector<std::string>& cells : table.rows) {
        Slice row = table_row(table, cells, widths, whole, false);
        row.head = head;
        if (row.height <= tallest_ * kMostBeside) {
            out.push_back(std::move(row));
            continue;
        }
        std::vector<Slice> lines = row_as_lines(table, cells, width, within);
        std::move(lines.begin(), lines.end(), std::back_inserter(out));
    }
    return out;
}

std::vector<Slice> Slicer::cut(const Beside& beside, double width, const Roles& within) {
    const double shares = std::accumulate(beside.shares.begin(), beside.shares.end(), 0.0);
    const std::size_t count = std::min(beside.columns.size(), beside.shares.size());
    if (count == 0 || shares <= 0) return {};
    const double room = width - beside.gap * static_cast<double>(count - 1);
    Slice row;
    double x = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double wide = room * beside.shares[i] / shares;
        std::vector<Slice> column;
        add(column, beside.columns[i], wide, within);
        Slice one = joined(std::move(column), x);
        row.height = std::max(row.height, one.height);
        std::move(one.pieces.begin(), one.pieces.end(), std::back_inserter(row.pieces));
        x += wide + beside.gap;
    }
    if (row.height <= tallest_ * kMostBeside) return {row};
    std::vector<Slice> out;
    for (const std::vector<Block>& column : beside.columns) {
        const std::size_t before = out.size();
        add(out, column, width, within);
        if (before > 0 && out.size() > before) out[before].above += 8;
    }
    return out;
}

std::vector<Slice> Slicer::cut(const Group& group, double width, const Roles& within) {
    const bool padded = group.tinted || group.barred;
    const double left = group.inset + (padded ? kGroupPad + kBar : 0);
    std::vector<Slice> out;
    add(out, group.blocks, width - left - (padded ? kGroupPad : 0), within);
    for (std::size_t i = 0; i < out.size(); ++i) {
        Slice& slice = out[i];
        for (Piece& piece : slice.pieces)
            piece.x += left;
        if (padded) {
            // The space between two slices belongs to the group, too, so that its ground has no gaps.
            const double top = i == 0 ? kGroupPad / 2 : slice.above;
            if (i > 0) slice.above = 0;
            for (Piece& piece : slice.pieces)
                piece.y += top;
            slice.height += top + (i + 1 == out.size() ? kGroupPad / 2 : 0);
            std::vector<Piece> ground;
            if (group.tinted)
                ground.push_back(filled(group.inset, 0, width - group.inset, slice.height + 0.1, "#f4f2ed"));
            if (group.barred) ground.push_back(filled(group.inset, 0, kBar, slice.height + 0.1, "#1d1f21"));
            slice.pieces.insert(slice.pieces.begin(), ground.begin(), ground.end());
        }
        if (group.together && i + 1 < out.size()) slice.stays_with_next = true;
    }
    return out;
}

}  // namespace plumbmark::report::paper
