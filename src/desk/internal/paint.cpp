#include "desk/internal/paint.h"

#include <GL/gl.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

namespace plumbmark::desk {
namespace {

/// Carried out while rendering: the place is the one that drawing was clipped to.
void clear_clipped(const ImDrawList*, const ImDrawCmd* command) {
    const ImDrawData* data = ImGui::GetDrawData();
    const ImVec2 scale = data->FramebufferScale;
    // A pixel is covered where its middle is, as with triangles.
    const auto pixel = [](float at, float factor) { return static_cast<int>(std::ceil(at * factor - 0.5F)); };
    const ImVec4& clip = command->ClipRect;
    const int left = pixel(clip.x - data->DisplayPos.x, scale.x),
              right = pixel(clip.z - data->DisplayPos.x, scale.x),
              top = pixel(clip.y - data->DisplayPos.y, scale.y),
              bottom = pixel(clip.w - data->DisplayPos.y, scale.y);
    if (right <= left || bottom <= top) return;
    const auto height = static_cast<int>(data->DisplaySize.y * scale.y);
    const ImVec4 colour = ImGui::ColorConvertU32ToFloat4(
        static_cast<ImU32>(reinterpret_cast<std::uintptr_t>(command->UserCallbackData)));
    glScissor(left, height - bottom, right - left, bottom - top);
    glClearColor(colour.x, colour.y, colour.z, colour.w);
    glClear(GL_COLOR_BUFFER_BIT);
}

}  // namespace

void fill_box(ImDrawList* list, const Box& box, Colour colour) {
    if (box.w <= 0 || box.h <= 0) return;
    if (colour.a != 255) return list->AddRectFilled(top_left(box), bottom_right(box), ink(colour));
    list->PushClipRect(top_left(box), bottom_right(box), true);
    list->AddCallback(clear_clipped, reinterpret_cast<void*>(std::uintptr_t{ink(colour)}));
    list->PopClipRect();
}

namespace {

/// Enough corners for a circle to look round, and no more: a floor of calls has hundreds of them.
int corners(float radius) {
    return std::clamp(static_cast<int>(std::ceil(radius)) + 6, 10, 24);
}

void fill_disc(ImDrawList* list, const Look& look, ImVec2 centre, float radius, Colour colour) {
    const Disc& disc = look.fonts.disc;
    if (std::abs(disc.radius - radius) > 0.1F)
        return list->AddCircleFilled(centre, radius, ink(colour), corners(radius));
    // On whole pixels, as it stands in the atlas.
    const ImVec2 from{std::round(centre.x - disc.half), std::round(centre.y - disc.half)};
    list->AddImage(ImGui::GetIO().Fonts->TexID, from, {from.x + 2 * disc.half, from.y + 2 * disc.half},
                   disc.uv_from, disc.uv_to, ink(colour));
}

}  // namespace

void draw_verdict(ImDrawList* list, const Look& look, ImVec2 c, float r, ruling::Verdict verdict,
                  Colour ground) {
    const Colour fill = verdict_colour(verdict);
    const float line = std::max(1.0F, look.unit(1.5F));
    const bool edged = needs_outline(fill, ground);
    const ImU32 edge =
        ink(contrast(look.colours->outline, ground) >= 3 ? look.colours->outline : look.colours->paper_ink);
    const auto diamond = [&](float size, ImU32 colour, float thick) {
        list->AddQuad({c.x, c.y - size}, {c.x + size, c.y}, {c.x, c.y + size}, {c.x - size, c.y}, colour,
                      thick);
    };
    switch (verdict) {
        case ruling::Verdict::clear:
            fill_disc(list, look, c, r, fill);
            if (edged) list->AddCircle(c, r, edge, corners(r), line);
            return;
        case ruling::Verdict::fail:
            list->AddRectFilled({c.x - r * 0.9F, c.y - r * 0.9F}, {c.x + r * 0.9F, c.y + r * 0.9F},
                                ink(fill));
            if (edged)
                list->AddRect({c.x - r * 0.9F, c.y - r * 0.9F}, {c.x + r * 0.9F, c.y + r * 0.9F}, edge, 0, 0,
                              line);
            return;
        case ruling::Verdict::not_shown:
            if (edged) diamond(r * 1.2F, edge, line * 1.6F + std::max(2.0F, look.unit(1.5F)));
            diamond(r * 1.2F, ink(fill), line * 1.6F);
            return;
        case ruling::Verdict::not_reached:
            list->AddLine({c.x - r * 0.8F, c.y}, {c.x + r * 0.8F, c.y}, edged ? edge : ink(fill),
                          line * 1.6F);
            return;
    }
}

namespace {

/// What of a convex polygon lies on one side of an upright line.
std::vector<ImVec2> cut_at(const std::vector<ImVec2>& polygon, float x, bool keep_right) {
    std::vector<ImVec2> kept;
    const auto inside = [&](ImVec2 p) { return keep_right ? p.x >= x : p.x <= x; };
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const ImVec2 now = polygon[i], next = polygon[(i + 1) % polygon.size()];
        if (inside(now)) kept.push_back(now);
        if (inside(now) == inside(next)) continue;
        const float share = (x - now.x) / (next.x - now.x);
        kept.push_back({x, now.y + share * (next.y - now.y)});
    }
    return kept;
}

}  // namespace

void draw_hatching(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour) {
    if (to.x - from.x < 1) return;
    const float step = std::max(4.0F, look.unit(5)), height = to.y - from.y;
    const float half = std::max(1.0F, look.unit(1.75F)) / std::sqrt(2.0F);
    // On a grid of the window, so that neighbouring hatchings join. Cut here and not by a clip rectangle:
    // that would be a drawing call of its own for each end of each contact on the run strip.
    for (float x = std::floor((from.x - height) / step) * step; x < to.x; x += step) {
        const std::vector<ImVec2> stroke = cut_at(cut_at({{x - half, to.y},
                                                          {x - half + height, from.y},
                                                          {x + half + height, from.y},
                                                          {x + half, to.y}},
                                                         from.x, true),
                                                  to.x, false);
        if (stroke.size() >= 3)
            list->AddConvexPolyFilled(stroke.data(), static_cast<int>(stroke.size()), colour);
    }
}

void draw_dashed(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour, float thickness) {
    const float dx = to.x - from.x, dy = to.y - from.y, length = std::hypot(dx, dy), dash = look.unit(6);
    if (length <= 0) return;
    for (float at = 0; at < length; at += dash * 1.75F) {
        const float a = at / length, b = std::min(1.0F, (at + dash) / length);
        list->AddLine({from.x + dx * a, from.y + dy * a}, {from.x + dx * b, from.y + dy * b}, colour,
                      thickness);
    }
}

void draw_dotted_rect(ImDrawList* list, const Look& look, ImVec2 from, ImVec2 to, ImU32 colour) {
    const float dot = std::max(1.0F, look.unit(1)), step = dot * 3;
    const auto along = [&](float at) { return ImVec2{at, at + dot}; };
    for (float x = from.x; x < to.x; x += step)
        for (float y : {from.y, to.y - dot})
            list->AddRectFilled({along(x).x, y}, {along(x).y, y + dot}, colour);
    for (float y = from.y; y < to.y; y += step)
        for (float x : {from.x, to.x - dot})
            list->AddRectFilled({x, along(y).x}, {x + dot, along(y).y}, colour);
}

float key_width(const Look& look, std::string_view label) {
    return std::max(look.unit(20), look.words->width(look.fonts.small, label) + look.unit(12));
}

float draw_key(ImDrawList* list, const Look& look, ImVec2 at, std::string_view label, Colour face,
               Colour words, Colour edge) {
    const float width = key_width(look, label), height = look.unit(20);
    const ImVec2 to{at.x + width, at.y + height};
    list->AddRectFilled(at, to, ink(face), look.unit(4));
    list->AddRect(at, to, ink(edge), look.unit(4), 0, std::max(1.0F, look.unit(1)));
    const float text = look.words->width(look.fonts.small, label);
    look.words->draw(list, look.fonts.small,
                     {at.x + (width - text) / 2, at.y + (height - Words::line_height(look.fonts.small)) / 2},
                     words, label);
    return width;
}

Box draw_label(ImDrawList* list, const Look& look, ImVec2 at, std::string_view text, ImFont* font,
               Colour ground, Colour words) {
    const float pad = look.unit(8), height = look.unit(24);
    const Box box{at.x, at.y, look.words->width(font, text) + 2 * pad, height};
    list->AddRectFilled(top_left(box), bottom_right(box), ink(ground), look.unit(4));
    look.words->draw(list, font, {box.x + pad, box.y + (height - Words::line_height(font)) / 2}, words, text);
    return box;
}

void draw_invitation(ImDrawList* list, const Look& look, const Box& row, std::string_view key,
                     std::string_view words) {
    const Palette& c = *look.colours;
    if (ImGui::IsMouseHoveringRect(top_left(row), bottom_right(row)))
        list->AddRectFilled(top_left(row), bottom_right(row), ink(c.row), look.unit(4));
    draw_key(list, look, {row.x + look.unit(8), row.y + look.unit(6)}, key, c.key, c.ink, c.line);
    look.words->draw(list, look.fonts.body,
                     {row.x + look.unit(84), row.y + (row.h - Words::line_height(look.fonts.body)) / 2},
                     c.ink, words);
}

Chip draw_chip(ImDrawList* list, const Look& look, const Box& row, const char* id, std::string_view words,
               std::string_view key, bool on) {
    const Palette& c = *look.colours;
    ImFont* font = on ? look.fonts.strong : look.fonts.body;
    const float pad = look.unit(10), height = look.unit(28);
    const float key_room = key.empty() ? 0 : key_width(look, key) + look.unit(8);
    Chip chip;
    chip.box = {row.x, row.y + (row.h - height) / 2, look.words->width(font, words) + key_room + 2 * pad,
                height};
    const Box& b = chip.box;
    if (b.right() > row.right()) {
        chip.box.w = 0;
        return chip;
    }
    chip.clicked = hit(id, b);
    const bool over = ImGui::IsItemHovered();
    if (on || over)
        list->AddRectFilled(top_left(b), bottom_right(b), ink(on ? c.segment : c.row), look.unit(4));
    look.words->draw(list, font, {b.x + pad, b.y + (height - Words::line_height(font)) / 2},
                     on || over ? c.ink : c.soft, words);
    if (!key.empty())
        draw_key(list, look, {b.right() - pad - key_room + look.unit(8), b.y + look.unit(4)}, key, c.key,
                 c.ink, c.line);
    return chip;
}

void draw_call(ImDrawList* list, const Look& look, ImVec2 centre, float radius, ruling::Verdict call,
               bool solid, Colour ground) {
    if (solid) return draw_verdict(list, look, centre, radius, call, ground);
    const ImU32 edge = ink(look.colours->ink);
    const float line = std::max(1.0F, look.unit(1.5F)), r = radius * 0.9F;
    if (call == ruling::Verdict::clear)
        list->AddCircle(centre, radius, edge, corners(radius), line);
    else
        list->AddRect({centre.x - r, centre.y - r}, {centre.x + r, centre.y + r}, edge, 0, 0, line);
}

void keep_in_sight(float at, float row) {
    const float highest = std::max(0.0F, at - row);
    const float lowest = std::min(highest, std::max(0.0F, at + 2 * row - ImGui::GetWindowHeight()));
    ImGui::SetScrollY(std::clamp(ImGui::GetScrollY(), lowest, highest));
}

bool hit(const char* id, const Box& box) {
    if (box.w < 1 || box.h < 1) return false;
    ImGui::SetCursorScreenPos(top_left(box));
    return ImGui::InvisibleButton(id, {box.w, box.h});
}

namespace {

void begin_region(const char* id, const Box& box, Colour ground, ImGuiWindowFlags extra) {
    ImGui::SetNextWindowPos(top_left(box));
    ImGui::SetNextWindowSize({std::max(1.0F, box.w), std::max(1.0F, box.h)});
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2{0, 0});
    ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2{1, 1});
    ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, 0);
    ImGui::PushStyleVar(ImGuiStyleVar_WindowRounding, 0);
    ImGui::Begin(id, nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoScrollWithMouse |
                     ImGuiWindowFlags_NoBackground | extra);
    ImGui::PopStyleVar(4);
    fill_box(ImGui::GetWindowDrawList(), box, ground);
}

}  // namespace

void begin_zone(const char* id, const Box& box, Colour ground) {
    begin_region(id, box, ground, ImGuiWindowFlags_NoBringToFrontOnFocus);
}

void begin_float(const char* id, const Box& box, Colour ground) {
    begin_region(id, box, ground, ImGuiWindowFlags_NoFocusOnAppearing);
    ImGui::BringWindowToDisplayFront(ImGui::GetCurrentWindow());
}

}  // namespace plumbmark::desk
