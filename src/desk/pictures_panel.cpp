// The picture: the exact frame, zoomed at the pointer, with what was drawn on the scene.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "desk/internal/camera_desk.h"
#include "desk/internal/following_desk.h"
#include "desk/internal/panels.h"
#include "desk/internal/picture_drawing.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr float kMostZoom = 40;

double outline_size(const std::vector<Point>& points) {
    double twice = 0;
    for (std::size_t i = 0, j = points.size() - 1; i < points.size(); j = i++)
        twice += points[j][0] * points[i][1] - points[i][0] * points[j][1];
    return std::abs(twice);
}

double distance_to(Point a, Point b, Point p) {
    const double dx = b[0] - a[0], dy = b[1] - a[1], length = dx * dx + dy * dy;
    const double t =
        length > 0 ? std::clamp(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length, 0.0, 1.0) : 0;
    return std::hypot(a[0] + t * dx - p[0], a[1] + t * dy - p[1]);
}

/// The drawing under the pointer: a plane's line within a finger's breadth, else the smallest outline around
/// it.
const meet::Drawing* drawing_at(const Scene& scene, Point at, double reach) {
    const meet::Drawing* best = nullptr;
    double best_size = 0;
    for (const auto& [id, drawing] : scene.session.state().drawings()) {
        if (drawing.clip != scene.session.clip()) continue;
        const PlacedDrawing placed = scene.following.placed(scene.session, drawing);
        if (placed.placement == Placement::lost) continue;  // another thing lies there
        if (drawing.kind == meet::DrawingKind::plane) {
            for (std::size_t i = 0; i + 1 < placed.points.size(); ++i)
                if (distance_to(placed.points[i], placed.points[i + 1], at) < reach) return &drawing;
        } else if (inside(placed.points, at) && (!best || outline_size(placed.points) < best_size)) {
            best = &drawing;
            best_size = outline_size(placed.points);
        }
    }
    return best;
}

PictureFrame place(const Box& box, PicturesView& view, meet::ClipId clip) {
    PictureFrame frame;
    frame.clip = clip;
    frame.box = box;
    frame.wide = static_cast<float>(view.pixel_aspect);
    const float w = static_cast<float>(view.width) * frame.wide, h = static_cast<float>(view.height);
    const float fit = std::min(box.w / w, box.h / h);
    frame.scale = std::max(0.001F, fit * view.zoom);
    // No further to the side than the picture's edge at the panel's middle.
    for (double& c : view.centre)
        c = std::clamp(c, 0.0, 1.0);
    if (view.zoom <= 1) view.centre = {0.5, 0.5};
    frame.origin = {box.x + box.w / 2 - static_cast<float>(view.centre[0]) * w * frame.scale,
                    box.y + box.h / 2 - static_cast<float>(view.centre[1]) * h * frame.scale};
    return frame;
}

void handle_pointer(const Scene& scene, const PictureFrame& frame, PicturesView& view) {
    const ImVec2 mouse = ImGui::GetMousePos();
    const Point at = frame.to_picture(mouse);
    const bool on_picture = at[0] >= 0 && at[1] >= 0 && at[0] < view.width && at[1] < view.height;
    const bool hovered = ImGui::IsItemHovered();
    view.pointer.reset();
    view.hovered_key.clear();
    if (hovered && on_picture) view.pointer = at;
    if (hovered && ImGui::GetIO().MouseWheel != 0)
        zoom_at(view, std::pow(1.25F, ImGui::GetIO().MouseWheel), view.pointer);
    const bool panning =
        ImGui::IsItemActive() && ImGui::IsMouseDragging(0, scene.look.unit(4)) && !view.busy();
    if (panning || (hovered && ImGui::IsMouseDragging(2, 0))) {
        const ImVec2 moved = ImGui::GetIO().MouseDelta;
        view.centre[0] -= moved.x / (frame.scale * frame.wide * static_cast<float>(view.width));
        view.centre[1] -= moved.y / (frame.scale * static_cast<float>(view.height));
    }
    if (view.busy() || !view.pointer) return;
    const meet::Drawing* under = drawing_at(scene, at, scene.look.unit(7) / frame.scale);
    if (under) view.hovered_key = under->key;
    const bool clicked = ImGui::IsMouseReleased(0) && ImGui::IsItemDeactivated() &&
                         ImGui::GetMouseDragDelta(0, scene.look.unit(4)).x == 0;
    const bool right = ImGui::IsMouseClicked(1);
    if (!clicked && !right) return;
    view.spot = at;
    view.spot_frame = scene.session.frame();
    if (under && under->kind == meet::DrawingKind::surface)
        scene.commands.add(TakeSurface{under->key, false});
    if (under && under->kind == meet::DrawingKind::plane) scene.commands.add(TakePlane{under->key});
    if (right) scene.commands.add(MarkMenu{mouse.x, mouse.y});
}

/// How many pixels of the display there are for one of the picture, along its longer drawn axis.
float on_display(const PictureFrame& frame) {
    const ImVec2 pixels = ImGui::GetIO().DisplayFramebufferScale;
    return frame.scale * std::max(frame.wide * pixels.x, pixels.y);
}

const Texture* picture_texture(const Scene& scene, const PicturesView& view) {
    const auto& picture = scene.session.picture().picture;
    if (view.tool == PictureTool::same_place && view.side.before_picture) {
        if (view.difference) return scene.textures.difference(picture, view.side.before_picture);
        return scene.textures.get(view.side.before_picture);
    }
    return scene.textures.get(picture);
}

/// A remark over the picture, broken into lines where it is long; returns where it ends.
float draw_note(const Look& look, const Box& room, const std::string& words, ImDrawList* list) {
    const Palette& c = *look.colours;
    const float pad = look.unit(8), wide = look.words->width(look.fonts.strong, words) + 2 * pad;
    const float inner = std::min(wide, std::min(room.w, look.unit(640))) - 2 * pad + 1;
    const float high = look.words->draw_wrapped(nullptr, look.fonts.strong, {}, inner, c.label_ink, words);
    const Box box{room.x, room.y, inner + 2 * pad, high + look.unit(4)};
    list->AddRectFilled(top_left(box), bottom_right(box), ink(c.label), look.unit(4));
    list->AddRect(top_left(box), bottom_right(box), ink(kOrange), look.unit(4), 0,
                  std::max(1.0F, look.unit(1.5F)));
    look.words->draw_wrapped(list, look.fonts.strong, {box.x + pad, box.y + look.unit(2)}, inner, c.label_ink,
                             words);
    return box.bottom();
}

/// What the picture is, top left; and plainly when it is not the frame asked for.
void draw_labels(const Scene& scene, const Box& box, const PicturesView& view, ImDrawList* list) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    const review::ClipView* clip = scene.session.current_clip();
    const review::PictureView& shown = scene.session.picture();
    std::string text = clip ? clip->name : "";
    if (clip && clip->table) text += " · " + frame_words(scene.session) + " · " + rate_words(*clip->table);
    if (const Tone tone = tone_of(view, scene.session.clip()); !tone.plain())
        text += " · " + tone_words(tone);
    if (view.zoom > 1.01F) text += tr(" · {:.1f} times", view.zoom);
    if (clip && clip->content_progress >= 0)
        text += tr(" · reading the whole file once, {:.0f} %", clip->content_progress * 100);
    const ImVec2 at{box.x + look.unit(8), box.y + look.unit(8)};
    if (const std::string follows = scene.following.words(scene.session); !follows.empty())
        text += " · " + follows;
    const Box first = draw_label(list, look, at, text, look.fonts.small, c.label, c.label_ink);
    float y = first.bottom() + look.unit(4);
    const auto note = [&](const std::string& words) {
        y = draw_note(look, {at.x, y, box.right() - look.unit(8) - at.x, 0}, words, list) + look.unit(4);
    };
    const bool before_is_shown = view.side.before_picture != nullptr;
    if (view.tool == PictureTool::same_place && !before_is_shown)
        note(tr("f {} is coming; this is your frame still", view.side.before_frame));
    else if (view.tool == PictureTool::same_place)
        note(view.difference ? tr("what differs between f {} and f {}", view.side.before_frame, shown.frame)
                             : tr("this is f {}, not your frame", view.side.before_frame));
    else if (shown.error)
        note(shown.error->spoken() +
             (shown.picture && !shown.exact ? tr(" What you see is f {}.", shown.frame) : ""));
    else if (!shown.exact)
        note(shown.frame >= 0        ? tr("not the exact frame yet: this is f {}", shown.frame)
             : shown.picture && clip ? tr("the first picture, while every frame is found: {:.0f} %",
                                          std::floor(clip->scan_progress * 100))
                                     : tr("the picture is coming"));
    if (const std::string where = scene.camera.trouble(scene.session); !where.empty() && shown.exact)
        note(tr("Where the camera stands is not known here: {}", where));
    if (clip && clip->file_trouble && !shown.error) note(clip->file_trouble->spoken());
    if (clip && clip->content_error && !clip->file_trouble && !shown.error)
        note(tr("The whole file could not be read once: {}", clip->content_error->spoken()));
    if (const std::string damage = frame_damage(scene.session); !damage.empty() && shown.exact) note(damage);
    const PlayView& play = scene.views.play;
    if (play.playing)
        note(tr("playing at {} of real time", kSpeeds[static_cast<std::size_t>(play.speed)].words));
}

void draw_reading(const Scene& scene, const Box& box, ImDrawList* list) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    const review::ClipView* clip = scene.session.current_clip();
    const ImVec2 at{box.x + look.unit(24), box.y + box.h / 2 - look.unit(36)};
    const float room = box.w - look.unit(48);
    if (!clip) {
        look.words->draw_wrapped(list, look.fonts.title, at, room, c.ink, tr("Drop a clip here."));
        return;
    }
    if (clip->error) {
        const float used = look.words->draw_wrapped(list, look.fonts.title, at, room, c.ink,
                                                    tr("{} cannot be shown", clip->name));
        look.words->draw_wrapped(list, look.fonts.body, {at.x, at.y + used + look.unit(4)}, room, c.ink,
                                 clip->error->spoken());
        return;
    }
    if (clip->table) return;
    const float used =
        look.words->draw_wrapped(list, look.fonts.body, at, room, c.ink,
                                 tr("Reading {}: finding every frame and its exact time. {:.0f} %",
                                    clip->name, clip->scan_progress * 100));
    const Box bar{at.x, at.y + used + look.unit(8), std::min(room, look.unit(360)), look.unit(8)};
    list->AddRectFilled(top_left(bar), bottom_right(bar), ink(c.row), look.unit(4));
    list->AddRect(top_left(bar), bottom_right(bar), ink(c.soft), look.unit(4));
    list->AddRectFilled(top_left(bar),
                        {bar.x + bar.w * static_cast<float>(clip->scan_progress), bar.bottom()}, ink(c.soft),
                        look.unit(4));
    const float y = bar.bottom() + look.unit(12);
    const std::string key = scene.keys.label(Action::let_go);
    const float w = draw_key(list, look, {at.x, y}, key, c.key, c.ink, c.line);
    look.words->draw(list, look.fonts.body, {at.x + w + look.unit(8), y}, c.ink, tr("stop reading"));
    if (hit("stop", {at.x, y - look.unit(4), look.unit(160), look.unit(28)}))
        scene.commands.add(StopReading{});
}

}  // namespace

void zoom_at(PicturesView& view, float factor, std::optional<Point> at) {
    const float before = view.zoom;
    view.zoom = std::clamp(view.zoom * factor, 1.0F, kMostZoom);
    if (!at || view.width <= 0) return;
    const double size[2] = {static_cast<double>(view.width), static_cast<double>(view.height)};
    for (std::size_t axis = 0; axis < 2; ++axis) {
        const double p = (*at)[axis] / size[axis];
        view.centre[axis] = p + (view.centre[axis] - p) * before / view.zoom;
    }
}

float draw_angle(const Scene& scene, const Box& box, const review::ClipView& clip, ImDrawList* list) {
    const Look& look = scene.look;
    const auto& shown = scene.session.picture_of(clip.id);
    float scale = 0;
    fill_box(list, box, look.colours->picture);
    list->PushClipRect(top_left(box), bottom_right(box), true);
    const Texture* texture = scene.textures.get(shown.picture);
    if (texture) {
        PicturesView whole;
        whole.width = texture->width();
        whole.height = texture->height();
        whole.pixel_aspect = upright_pixel_aspect(*shown.picture);
        const PictureFrame frame = place(box, whole, clip.id);
        scale = on_display(frame);
        const Point far{static_cast<double>(whole.width), static_cast<double>(whole.height)};
        const Tone tone = tone_of(scene.views.pictures, clip.id);
        scene.textures.tones().begin(list, tone);
        add_picture(list, *texture, frame.to_screen({0, 0}), frame.to_screen(far), {0, 0}, {1, 1},
                    IM_COL32_WHITE, scene.views.play.playing);
        scene.textures.tones().end(list, tone);
        draw_overlays(scene, frame, whole, list);
    }
    std::string text = clip.name;
    if (clip.error)
        text += tr(" · cannot be read");
    else if (!clip.table)
        text += tr(" · being read");
    else
        text += tr(" · f {}", scene.session.frame_of(clip.id));
    if (const auto tie = tie_of(scene.session, scene.session.clip(), clip.id))
        text += tr_n(" · tie ±{1} by {0} mark", " · tie ±{1} by {0} marks", tie->marks,
                     base::duration_text(tie->half()));
    else if (clip.table)
        text += tr(" · not tied");
    if (scene.views.pictures.apart) text += tr(" · stays");
    draw_label(list, look, {box.x + look.unit(8), box.y + look.unit(8)}, text, look.fonts.small,
               look.colours->label, look.colours->label_ink);
    list->PopClipRect();
    if (hit(("angle " + clip.name).c_str(), box)) scene.commands.add(TakeClip{clip.id});
    if (ImGui::IsItemHovered())
        list->AddRect(top_left(box), bottom_right(box), ink(look.colours->chosen), 0, 0,
                      std::max(1.0F, look.unit(2)));
    return scale;
}

namespace {

/// The picture that is worked on, and beside it the run's other angles.
Box draw_other_angles(const Scene& scene, const Box& panel, PicturesView& view, ImDrawList* list) {
    constexpr std::size_t most_angles = 4;
    const auto& clips = scene.session.clips();
    if (view.alone || view.tool != PictureTool::none || view.busy() || clips.size() < 2) return panel;
    std::vector<float> aspects{static_cast<float>(view.width * view.pixel_aspect) /
                               static_cast<float>(view.height)};
    std::vector<const review::ClipView*> others;
    for (const review::ClipView& clip : clips) {
        if (clip.id == scene.session.clip() || others.size() + 1 == most_angles) continue;
        const auto& picture = scene.session.picture_of(clip.id).picture;
        others.push_back(&clip);
        aspects.push_back(
            picture ? static_cast<float>(picture->upright_width() * upright_pixel_aspect(*picture)) /
                          static_cast<float>(picture->upright_height())
                    : 16.0F / 9.0F);
    }
    const std::vector<Box> boxes = lay_angles(panel, aspects, scene.look.unit(3));
    for (std::size_t i = 0; i < others.size(); ++i)
        view.largest_scale = std::max(view.largest_scale, draw_angle(scene, boxes[i + 1], *others[i], list));
    for (const review::ClipView* clip : others)
        view.shown.push_back(clip->id);
    return boxes.front();
}

}  // namespace

void draw_pictures(const Scene& scene, const Box& panel, PicturesView& view) {
    begin_zone("pictures", panel, scene.look.colours->ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const auto& shown = scene.session.picture();
    view.shown.clear();
    view.largest_scale = 0;
    if (!shown.picture) {
        draw_reading(scene, panel, list);
        ImGui::End();
        return;
    }
    view.width = shown.picture->upright_width();
    view.height = shown.picture->upright_height();
    view.pixel_aspect = upright_pixel_aspect(*shown.picture);
    if (view.spot_frame != scene.session.frame()) view.spot.reset();
    const Box box = draw_other_angles(scene, panel, view, list);
    fill_box(list, box, scene.look.colours->picture);
    const PictureFrame frame = place(box, view, scene.session.clip());
    view.largest_scale = std::max(view.largest_scale, on_display(frame));
    ImGui::SetCursorScreenPos(top_left(box));
    ImGui::InvisibleButton("picture", {std::max(1.0F, box.w), std::max(1.0F, box.h)},
                           ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                               ImGuiButtonFlags_MouseButtonMiddle);
    const bool hovered = ImGui::IsItemHovered();
    handle_pointer(scene, frame, view);
    list->PushClipRect(top_left(box), bottom_right(box), true);
    const Point far{static_cast<double>(view.width), static_cast<double>(view.height)};
    const Tone tone = tone_of(view, scene.session.clip());
    scene.textures.tones().begin(list, tone);
    if (const Texture* texture = picture_texture(scene, view)) {
        add_picture(list, *texture, frame.to_screen({0, 0}), frame.to_screen(far), {0, 0}, {1, 1},
                    IM_COL32_WHITE, scene.views.play.playing);
        if (view.tool != PictureTool::same_place) view.shown.push_back(scene.session.clip());
    }
    draw_ghosts(scene, frame, view, list);
    scene.textures.tones().end(list, tone);
    draw_overlays(scene, frame, view, list);
    draw_plan(scene, frame, list);
    draw_pointed(scene, frame, list);
    if (view.drawing.active) draw_drawing(scene, frame, view, list, hovered);
    if (view.camera.active) draw_camera(scene, frame, view, list, hovered);
    if (view.point.active) draw_pointing(scene, frame, view, list, hovered);
    draw_insets(scene, frame, view, list);
    draw_labels(scene, box, view, list);
    list->PopClipRect();
    ImGui::End();
}

}  // namespace plumbmark::desk
