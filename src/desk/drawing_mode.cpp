#include "desk/internal/drawing_mode.h"

#include <algorithm>
#include <cmath>

#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

bool near(Point a, Point b, double reach) {
    return std::hypot(a[0] - b[0], a[1] - b[1]) <= reach;
}

std::size_t least_points(const DrawingMode& drawing) {
    return drawing.kind == meet::DrawingKind::surface ? 3 : 2;
}

/// A point beside the middle of the line, on one side of it.
Point beside(const DrawingMode& drawing, double side) {
    const Point a = drawing.points.front(), b = drawing.points.back();
    const double dx = b[0] - a[0], dy = b[1] - a[1], length = std::max(1.0, std::hypot(dx, dy));
    return {(a[0] + b[0]) / 2 - dy / length * 40 * side, (a[1] + b[1]) / 2 + dx / length * 40 * side};
}

double side_of(const DrawingMode& drawing) {
    const Point a = drawing.points.front(), b = drawing.points.back();
    const Point t = drawing.towards.value_or(a);
    return (b[0] - a[0]) * (t[1] - a[1]) - (b[1] - a[1]) * (t[0] - a[0]) >= 0 ? 1 : -1;
}

void keep(PicturesView& view, Commands& commands) {
    DrawingMode& d = view.drawing;
    commands.add(SaveDrawing{d.kind, d.key, d.points, d.towards});
    d = {};
}

void add_point(DrawingMode& drawing, Point at) {
    drawing.points.push_back(at);
    drawing.cross = at;
}

/// Enter sets a point at the cross, or, on the last or first point, ends the line.
void take_cross(PicturesView& view, Commands& commands) {
    DrawingMode& d = view.drawing;
    if (d.closed) return keep(view, commands);
    const bool again =
        !d.points.empty() && (near(d.cross, d.points.back(), 0.5) || near(d.cross, d.points.front(), 0.5));
    if (again) return close_drawing(d);
    add_point(d, d.cross);
}

void move_point(PicturesView& view, double dx, double dy) {
    DrawingMode& d = view.drawing;
    Point& moving = d.chosen >= 0 ? d.points[static_cast<std::size_t>(d.chosen)] : d.cross;
    moving = {std::clamp(moving[0] + dx, 0.0, static_cast<double>(view.width)),
              std::clamp(moving[1] + dy, 0.0, static_cast<double>(view.height))};
}

void go_back(DrawingMode& drawing) {
    if (drawing.closed || drawing.points.empty()) {
        drawing = {};
        return;
    }
    drawing.points.pop_back();
    if (!drawing.points.empty()) drawing.cross = drawing.points.back();
}

void delete_something(PicturesView& view, const review::Session& session, Commands& commands) {
    DrawingMode& d = view.drawing;
    if (d.chosen >= 0 && d.points.size() > least_points(d)) {
        d.points.erase(d.points.begin() + d.chosen);
        d.chosen = -1;
        return;
    }
    if (d.chosen >= 0) return;
    if (const meet::Drawing* stored = drawing_of(session, d.kind, d.key))
        commands.add(DropDrawing{stored->id});
    d = {};
}

int point_at(const DrawingMode& drawing, const PictureFrame& frame, ImVec2 mouse, float reach) {
    for (std::size_t i = 0; i < drawing.points.size(); ++i) {
        const ImVec2 p = frame.to_screen(drawing.points[i]);
        if (std::hypot(p.x - mouse.x, p.y - mouse.y) <= reach) return static_cast<int>(i);
    }
    return -1;
}

void handle_mouse(const PictureFrame& frame, PicturesView& view, bool hovered, float reach) {
    DrawingMode& d = view.drawing;
    const ImVec2 mouse = ImGui::GetMousePos();
    const Point at = frame.to_picture(mouse);
    if (hovered && ImGui::IsMouseClicked(0)) {
        const int on = point_at(d, frame, mouse, reach);
        if (on >= 0 && (d.closed || on != 0)) {
            d.chosen = on;
            d.dragging = true;
        } else if (on == 0) {
            close_drawing(d);
        } else if (!d.closed) {
            add_point(d, at);
        } else if (d.kind == meet::DrawingKind::plane) {
            d.towards = at;
        }
    }
    if (!ImGui::IsMouseDown(0)) d.dragging = false;
    if (d.dragging && d.chosen >= 0) d.points[static_cast<std::size_t>(d.chosen)] = at;
    if (hovered && ImGui::IsMouseClicked(1) && !d.closed) close_drawing(d);
    if (hovered && !d.closed && (ImGui::GetIO().MouseDelta.x != 0 || ImGui::GetIO().MouseDelta.y != 0))
        d.cross = at;
}

}  // namespace

void close_drawing(DrawingMode& drawing) {
    if (drawing.points.size() < least_points(drawing)) return;
    drawing.closed = true;
    drawing.chosen = -1;
    if (drawing.kind == meet::DrawingKind::plane && !drawing.towards) drawing.towards = beside(drawing, 1);
}

void begin_drawing(PicturesView& view, meet::DrawingKind kind, const std::string& key,
                   const std::optional<PlacedDrawing>& stored) {
    DrawingMode& d = view.drawing;
    if (d.active && d.kind == kind && !d.points.empty()) {
        d.key = key;
        return;
    }
    d = {};
    d.active = true;
    d.kind = kind;
    d.key = key;
    d.cross = view.pointer.value_or(Point{view.centre[0] * view.width, view.centre[1] * view.height});
    if (stored) {
        d.points = stored->points;
        d.towards = stored->towards;
        d.closed = true;
    }
}

bool drawing_key(PicturesView& view, const review::Session& session, int key, int mods, Commands& commands) {
    DrawingMode& d = view.drawing;
    if (mods & (kCtrl | kAlt)) return false;
    const double step = mods & kShift ? 10 : 1;
    switch (key) {
        case key_left:
            return move_point(view, -step, 0), true;
        case key_right:
            return move_point(view, step, 0), true;
        case key_up:
            return move_point(view, 0, -step), true;
        case key_down:
            return move_point(view, 0, step), true;
        case key_enter:
        case key_keypad_enter:
            return take_cross(view, commands), true;
        case key_escape:
            return go_back(d), true;
        case key_delete:
        case key_backspace:
            return delete_something(view, session, commands), true;
        case key_tab: {
            const int count = static_cast<int>(d.points.size());
            if (count > 0) d.chosen = (d.chosen + (mods & kShift ? count - 1 : 1) + count) % count;
            return true;
        }
        case ' ':
            if (d.kind == meet::DrawingKind::plane && d.closed) d.towards = beside(d, -side_of(d));
            return true;
        default:
            return false;
    }
}

std::string drawing_enter_words(const DrawingMode& drawing) {
    if (drawing.closed) return tr("keep it");
    if (drawing.points.empty()) return tr("set the first point");
    if (near(drawing.cross, drawing.points.back(), 0.5) || near(drawing.cross, drawing.points.front(), 0.5))
        return drawing.points.size() < least_points(drawing) ? tr("needs more points")
                                                             : tr("end the outline here");
    return tr("set the next point");
}

void draw_drawing(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                  bool hovered) {
    const Look& look = scene.look;
    DrawingMode& d = view.drawing;
    const bool surface = d.kind == meet::DrawingKind::surface;
    handle_mouse(frame, view, hovered, look.unit(12));
    const Colour colour = surface ? rgb(0xFFFFFF) : kPlane;
    const float thick = std::max(1.5F, look.unit(2));
    const auto line = [&](Point a, Point b) {
        list->AddLine(frame.to_screen(a), frame.to_screen(b), IM_COL32(0, 0, 0, 160), thick + look.unit(2));
        list->AddLine(frame.to_screen(a), frame.to_screen(b), ink(colour), thick);
    };
    for (std::size_t i = 0; i + 1 < d.points.size(); ++i)
        line(d.points[i], d.points[i + 1]);
    if (surface && d.closed) line(d.points.back(), d.points.front());
    if (!d.closed && !d.points.empty())
        draw_dashed(list, look, frame.to_screen(d.points.back()), frame.to_screen(d.cross), ink(colour),
                    thick);
    if (d.towards && d.points.size() >= 2) {
        const Point middle{(d.points.front()[0] + d.points.back()[0]) / 2,
                           (d.points.front()[1] + d.points.back()[1]) / 2};
        const ImVec2 tip = frame.to_screen(*d.towards);
        draw_dashed(list, look, frame.to_screen(middle), tip, ink(colour), thick);
        draw_label(list, look, {tip.x, tip.y}, tr("far side"), look.fonts.small, look.colours->label,
                   look.colours->label_ink);
    }
    for (std::size_t i = 0; i < d.points.size(); ++i) {
        const ImVec2 c = frame.to_screen(d.points[i]);
        const float r = look.unit(static_cast<int>(i) == d.chosen ? 7 : 5);
        list->AddRectFilled({c.x - r, c.y - r}, {c.x + r, c.y + r}, IM_COL32(0, 0, 0, 200));
        list->AddRect({c.x - r, c.y - r}, {c.x + r, c.y + r}, ink(colour), 0, 0, thick);
        if (static_cast<int>(i) == d.chosen)
            list->AddRectFilled({c.x - r, c.y - r}, {c.x + r, c.y + r}, ink(colour));
    }
    if (!d.closed) {
        const ImVec2 c = frame.to_screen(d.cross);
        const float arm = look.unit(12);
        for (const float shadow : {look.unit(3), 0.0F}) {
            const ImU32 shade = shadow > 0 ? IM_COL32(0, 0, 0, 180) : ink(rgb(0xFFFFFF));
            list->AddLine({c.x - arm, c.y}, {c.x + arm, c.y}, shade, look.unit(1.5F) + shadow);
            list->AddLine({c.x, c.y - arm}, {c.x, c.y + arm}, shade, look.unit(1.5F) + shadow);
        }
    }
    const std::string name = surface ? surface_name(scene.session, d.key) : plane_name(scene.session, d.key);
    draw_label(list, look, {frame.box.x + look.unit(8), frame.box.bottom() - look.unit(32)},
               tr("drawing {}", name), look.fonts.strong, look.colours->label, look.colours->label_ink);
}

}  // namespace plumbmark::desk
