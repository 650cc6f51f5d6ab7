// The desk's few drawn things, shared by the panels: verdict shapes, key caps, hatching, buttons.
#pragma once

#include <string>
#include <string_view>

#include "desk/internal/fonts.h"
#include "desk/internal/gui.h"
#include "desk/internal/words.h"
#include "ruling/ruling.h"

namespace plumbmark::desk {

/// How things look now; handed to every panel.
struct Look {
    const Palette* colours = nullptr;
    Theme theme = Theme::dark;
    Fonts fonts;
    Words* words = nullptr;
    float scale = 1;
    [[nodiscard]] float unit(float units) const { return std::round(units * scale); }
};

/// A box in one colour. An opaque one is cleared instead of drawn: where the processor does the drawing, that
/// is many times quicker than triangles, each of whose pixels is looked up in a texture and blended. For what
/// covers much of the window; a small box joins what is drawn before and after it better as a rectangle.
void fill_box(ImDrawList* list, const Box& box, Colour colour);

/// Filled disc CLEAR, filled square FAIL, open diamond NOT SHOWN, small dash NOT REACHED.
void draw_verdict(ImDrawList* list, const Look& look, ImVec2 centre, float radius, ruling::Verdict verdict,
                  Colour ground);

/// Slanting lines inside a rectangle: 'somewhere in here'.
void draw_hatching(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour);

void draw_dashed(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour, float thickness);
void draw_dotted_rect(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour);

/// A key cap with its label; returns the width used. 'at' is the top left of a line as high as a row of small
/// words.
float draw_key(ImDrawList* list, const Look& look, ImVec2 at, std::string_view label, Colour face,
               Colour words, Colour edge);
[[nodiscard]] float key_width(const Look& look, std::string_view label);

/// Words on a rounded ground, as labels over pictures; returns the box used.
Box draw_label(ImDrawList* list, const Look& look, ImVec2 at, std::string_view text, ImFont* font,
               Colour ground, Colour words);

/// A line that says what a key does, lit up under the pointer.
void draw_invitation(ImDrawList* list, const Look& look, const Box& row, std::string_view key,
                     std::string_view words);

/// Words that can be clicked, with the key that does the same (empty: none), on a ground where 'on'.
struct Chip {
    Box box;               ///< where it lies
    bool clicked = false;  ///< now
};
/// Vertically in the middle of 'row', from its left edge on; nothing where it does not fit into the row.
Chip draw_chip(ImDrawList* list, const Look& look, const Box& row, const char* id, std::string_view words,
               std::string_view key, bool on);

/// A judge's call: a disc for clear, a square for fail; hollow until it is on the disk.
void draw_call(ImDrawList* list, const Look& look, ImVec2 centre, float radius, ruling::Verdict call,
               bool solid, Colour ground);

/// Moves the region being drawn as little as it takes to show the row at 'at' (from the region's top), with
/// one more on either side where there is room.
void keep_in_sight(float at, float row);

/// An invisible button over a box; true when it was clicked. Hovering is ImGui::IsItemHovered afterwards.
bool hit(const char* id, const Box& box);

/// Begins a bare, immovable region for a zone; end with ImGui::End().
void begin_zone(const char* id, const Box& box, Colour ground);
/// The same in front of all zones, without taking the keyboard from a line being written.
void begin_float(const char* id, const Box& box, Colour ground);

}  // namespace plumbmark::desk
