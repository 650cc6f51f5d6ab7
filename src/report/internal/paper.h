// What a printed sheet is made of, as plain values, and its way to a PDF. A sheet says what stands one below
// the other; where lines and pages break is worked out here, the same way for every sheet.
//
// Lengths are in points (1/72 inch). Every text is put through printable() of internal/plain.h, so any
// bytes may be given; names in the midst of a sentence stand in isolated().
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "report/paper_size.h"

namespace plumbmark::report::paper {

/// How a paragraph looks and what it is to a screen reader: the first three are headings.
enum class Style : std::uint8_t { title, heading, subheading, lead, body, note, fine };

/// A shape in front of a paragraph.
enum class Sign : std::uint8_t { none, disc, square, diamond, dash, box, dot };

struct Words {
    std::string text;
    bool strong = false;
};

struct Paragraph {
    Style style = Style::body;
    std::vector<Words> words = {};
    Sign sign = Sign::none;
    std::string label = {};  ///< a short number in front, in place of a sign; the lines hang behind it
    std::string end = {};    ///< a short word at the right end of the first line
    bool right = false;      ///< set to the right side
};

enum class StrokeKind : std::uint8_t { open_line, closed_line, ring, text };

/// What is drawn over a picture, or by itself, in its pixels (x right, y down).
struct Stroke {
    StrokeKind kind = StrokeKind::open_line;
    std::vector<std::array<double, 2>> points;  ///< of a ring its centre, of a text where its baseline is
    double width = 1;                    ///< of the line, or of the dark rim of a text; 0: none is drawn
    std::array<double, 2> dashes{0, 0};  ///< on and off; 0: not dashed
    std::string colour = "#000";         ///< "#rgb" or "#rrggbb"
    double opacity = 1;
    double size = 0;      ///< radius of a ring, em of a text
    int anchor = -1;      ///< text: -1 begins at the point, 0 has its middle there, 1 ends there
    std::string words{};  ///< text
    std::string fill{};   ///< colour of what a ring or a closed line holds; empty: nothing
};

struct Picture {
    std::vector<std::uint8_t> jpeg;  ///< empty: the strokes are all there is, on the paper itself
    int width = 0, height = 0;       ///< pixels
    std::vector<Stroke> strokes;
    std::string says = {};     ///< what it shows, for who cannot see it
    double most_height = 190;  ///< it is scaled into this and the width there is, and never cut
};

struct Column {
    std::string title;
    double width = 0;  ///< fixed; 0: takes a share of what is left
    double share = 1;  ///< of what is left
    bool right = false;
};

/// Its head is repeated on every page; a row stays whole.
struct Table {
    std::vector<Column> columns;
    std::vector<std::vector<std::string>> rows;  ///< a cell for each column
};

/// A thin line across.
struct Line {};

struct Block;

/// Blocks side by side; where they would be higher than half a page, one below the other.
struct Beside {
    std::vector<std::vector<Block>> columns;
    std::vector<double> shares;  ///< of the width, one a column
    double gap = 16;
};

/// Blocks that belong together.
struct Group {
    std::vector<Block> blocks;
    bool together = false;  ///< on one page, where one page can hold it
    bool tinted = false;    ///< on a light ground
    bool barred = false;    ///< with a dark bar at its left
    double inset = 0;       ///< to the left of what it holds
};

struct Block {
    std::variant<Paragraph, Picture, Table, Line, Beside, Group> what;
    double above = 0;    ///< free space before it, which falls away at the top of a page
    bool leads = false;  ///< stays on the page of what follows (a heading always does)
};

struct Sheet {
    std::string title;  ///< of the document, for its metadata
    std::string maker;  ///< "Plumbmark 0.3"
    std::string foot;   ///< at the foot of every page, before its number; cut short to one line
    /// Above all else on every page, whole; read once. A few lines: the pages have so much less room.
    std::vector<Block> top = {};
    std::vector<Block> blocks;
    double scale = 1;  ///< of letters and the space between blocks
};

/// A PDF file: text as text with its fonts inside, tagged in reading order (ISO 32000-1, 14.8), language
/// English, no time in it: the same sheet gives the same bytes with the same fonts. 'pages' is set to how
/// many it has, where given. Error io when it cannot be drawn. Any thread; each keeps its own font map.
[[nodiscard]] base::Result<std::string> make_pdf(const Sheet& sheet, PaperSize size, int* pages = nullptr);

/// How many pages the sheet takes, without drawing it.
[[nodiscard]] int pages_of(const Sheet& sheet, PaperSize size);

}  // namespace plumbmark::report::paper
