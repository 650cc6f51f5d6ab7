// Colours of the desk. Words are always in ink; verdicts and limbs fill shapes, which are outlined where they
// stand out too little from their ground. Pure values.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "course/parts.h"
#include "ruling/ruling.h"

namespace plumbmark::desk {

struct Colour {
    std::uint8_t r = 0, g = 0, b = 0, a = 255;
    friend bool operator==(const Colour&, const Colour&) = default;
};

/// 0xRRGGBB.
[[nodiscard]] constexpr Colour rgb(std::uint32_t hex, std::uint8_t alpha = 255) {
    return {static_cast<std::uint8_t>(hex >> 16), static_cast<std::uint8_t>(hex >> 8),
            static_cast<std::uint8_t>(hex), alpha};
}

/// Contrast ratio of two opaque colours, 1 to 21, by the relative luminance of WCAG 2.2 (definitions of
/// 'relative luminance' and 'contrast ratio').
[[nodiscard]] double contrast(Colour a, Colour b);

/// 'over' laid on an opaque ground by its alpha.
[[nodiscard]] Colour blended(Colour over, Colour ground);

enum class Theme : std::uint8_t { dark, light, high_contrast };
[[nodiscard]] const char* theme_words(Theme theme);

struct Palette {
    Colour ground;   ///< behind everything
    Colour bar;      ///< top bar and line of help
    Colour picture;  ///< behind the pictures
    Colour strip;    ///< the run strip
    Colour row;      ///< its rows
    Colour segment;  ///< stations of the course row
    Colour line;     ///< quiet lines
    Colour ink;      ///< words on all of the above
    Colour soft;     ///< lesser words on all of the above
    Colour key;      ///< a key cap's face, under ink
    Colour chosen;   ///< outline of what is chosen
    Colour playhead;
    Colour displayed;    ///< frames that were on screen
    Colour vouched;      ///< frames the reviewer vouches for
    Colour paper;        ///< the sheet
    Colour paper_card;   ///< boxes on it
    Colour paper_offer;  ///< the box that says what would settle it
    Colour paper_focus;  ///< the chosen station
    Colour paper_line;
    Colour paper_ink;
    Colour paper_soft;
    Colour paper_key;  ///< a key cap on paper, under paper ink
    Colour label;      ///< ground of labels over a picture
    Colour label_ink;
    Colour float_ground;  ///< lists, help, messages
    Colour float_line;
    Colour trouble;  ///< edge of an error message
    Colour outline;  ///< round shapes that stand out too little
};

[[nodiscard]] const Palette& palette(Theme theme);

// The colour-blind safe set of Okabe & Ito, 'Color Universal Design' (2008).
inline constexpr Colour kBluishGreen = rgb(0x009E73);
inline constexpr Colour kVermilion = rgb(0xD55E00);
inline constexpr Colour kOrange = rgb(0xE69F00);
inline constexpr Colour kGrey = rgb(0x8C8C8C);

[[nodiscard]] Colour verdict_colour(ruling::Verdict verdict);
[[nodiscard]] Colour part_colour(course::Part part);

/// Planes are drawn over pictures of any brightness, so they carry a dark edge; this is the inner line.
inline constexpr Colour kPlane = kOrange;

/// True when a shape of this fill needs an outline on this ground (under 3 : 1, WCAG 2.2 success
/// criterion 1.4.11).
[[nodiscard]] bool needs_outline(Colour fill, Colour ground);

/// Words on a ground, as the panels use them; the least contrast is 4.5 : 1 (WCAG 2.2 success
/// criterion 1.4.3).
struct InkPair {
    std::string what;
    Colour ink, ground;
};
[[nodiscard]] std::vector<InkPair> ink_pairs(const Palette& palette);

}  // namespace plumbmark::desk
