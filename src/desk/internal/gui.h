// The window toolkit, included here only. What differs between its releases (1.86 to 1.91) stands in this one
// place.
#pragma once

#include <imgui.h>
#include <imgui_internal.h>

#include "desk/layout.h"
#include "desk/theme.h"

namespace plumbmark::desk {

/// A GL texture's name as the toolkit wants it: a pointer until 1.91.3, an integer since.
[[nodiscard]] inline ImTextureID as_texture(unsigned name) {
#if IMGUI_VERSION_NUM >= 19104
    return static_cast<ImTextureID>(name);
#else
    return reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(name));
#endif
}

/// A child region without a border.
inline bool begin_child(const char* id, ImVec2 size, ImGuiWindowFlags flags) {
#if IMGUI_VERSION_NUM >= 19000
    return ImGui::BeginChild(id, size, ImGuiChildFlags_None, flags);
#else
    return ImGui::BeginChild(id, size, false, flags);
#endif
}

/// Keys and letters that the toolkit was given and will take in later frames: quick input is spread over
/// several since 1.87, and taken at once before.
[[nodiscard]] inline bool queued_input() {
#if IMGUI_VERSION_NUM >= 18700
    return !ImGui::GetCurrentContext()->InputEventsQueue.empty();
#else
    return false;
#endif
}

/// Gives one glyph of a built font another advance and draws it in the middle of it.
inline void set_advance(ImFont* font, ImWchar character, float advance) {
    auto* glyph = const_cast<ImFontGlyph*>(font->FindGlyph(character));
    const float shift = (advance - glyph->AdvanceX) / 2;
    glyph->X0 += shift;
    glyph->X1 += shift;
    glyph->AdvanceX = advance;
    font->IndexAdvanceX[static_cast<int>(character)] = advance;
}

[[nodiscard]] inline bool has_glyph(ImFont* font, unsigned character) {
    return character < 0x10000 && font->FindGlyphNoFallback(static_cast<ImWchar>(character)) != nullptr;
}

[[nodiscard]] inline ImU32 ink(Colour c) {
    return IM_COL32(c.r, c.g, c.b, c.a);
}
[[nodiscard]] inline ImU32 ink(Colour c, int alpha) {
    return IM_COL32(c.r, c.g, c.b, alpha);
}
[[nodiscard]] inline ImVec2 top_left(const Box& box) {
    return {box.x, box.y};
}
[[nodiscard]] inline ImVec2 bottom_right(const Box& box) {
    return {box.x + box.w, box.y + box.h};
}

}  // namespace plumbmark::desk
