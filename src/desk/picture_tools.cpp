// The picture tools, asked for by what one wants to know: touching yet? which way? (same place? replaces the
// picture.)
#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "desk/internal/following_desk.h"
#include "desk/internal/panels.h"
#include "desk/internal/picture_drawing.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// Where to magnify: where was pointed, else the chosen surface, else the middle of the view.
Point point_of_interest(const Scene& scene, const PicturesView& view) {
    if (view.spot && view.spot_frame == scene.session.frame()) return *view.spot;
    const auto mark = scene.session.state().marks().find(scene.session.selected());
    if (mark != scene.session.state().marks().end() && mark->second.spot) return *mark->second.spot;
    if (view.pointer) return *view.pointer;
    if (const meet::Drawing* drawing =
            drawing_of(scene.session, meet::DrawingKind::surface, scene.session.hand().surface)) {
        Point sum{0, 0};
        const std::vector<Point> points = scene.following.placed(scene.session, *drawing).points;
        for (const Point& p : points)
            sum = {sum[0] + p[0], sum[1] + p[1]};
        const auto n = static_cast<double>(points.size());
        if (n > 0) return {sum[0] / n, sum[1] / n};
    }
    return {view.centre[0] * view.width, view.centre[1] * view.height};
}

void draw_inset(const Scene& scene, const Box& box, const Texture* texture, Point at, double across,
                double pixel_aspect, const std::string& words, ImDrawList* list) {
    const Look& look = scene.look;
    list->AddRectFilled(top_left(box), bottom_right(box), ink(look.colours->picture));
    if (texture) {
        const double w = texture->width(), h = texture->height(),
                     down = across * pixel_aspect * box.h / box.w;
        // Kept inside the picture, so that the inset never shows beyond its edge.
        const double left = std::clamp(at[0] - across / 2, 0.0, std::max(0.0, w - across));
        const double top = std::clamp(at[1] - down / 2, 0.0, std::max(0.0, h - down));
        const Tone tone = tone_of(scene.views.pictures, scene.session.clip());
        scene.textures.tones().begin(list, tone);
        add_picture(list, *texture, top_left(box), bottom_right(box),
                    {static_cast<float>(left / w), static_cast<float>(top / h)},
                    {static_cast<float>((left + across) / w), static_cast<float>((top + down) / h)});
        scene.textures.tones().end(list, tone);
    }
    list->AddRect(top_left(box), bottom_right(box), ink(rgb(0xFFFFFF)), 0, 0,
                  std::max(1.0F, look.unit(1.5F)));
    draw_label(list, look, {box.x + look.unit(6), box.bottom() - look.unit(30)},
               texture ? words : tr("{}: coming", words), look.fonts.small, look.colours->label,
               look.colours->label_ink);
}

}  // namespace

void draw_insets(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list) {
    if (view.tool != PictureTool::touching_yet) return;
    const Look& look = scene.look;
    const Point at = point_of_interest(scene, view);
    const double across = std::max(48.0, std::min(view.width, view.height) / 4.0);
    const float gap = look.unit(8), top = look.unit(40);
    const float w = std::min((frame.box.w - 3 * gap) / 2, look.unit(420));
    const float h = std::min(w * 0.8F, frame.box.h - gap - top);
    const float y = frame.box.bottom() - h - gap;
    const SidePictures& side = view.side;
    const auto words = [](const char* what, std::int64_t n) {
        return n < 0 ? tr("{} · before the clip", what) : tr("{} · f {}", what, n);
    };
    draw_inset(scene, {frame.box.x + gap, y, w, h}, scene.textures.get(side.early_picture), at, across,
               view.pixel_aspect, words(tr("not yet"), side.early), list);
    draw_inset(scene, {frame.box.x + 2 * gap + w, y, w, h}, scene.textures.get(side.late_picture), at, across,
               view.pixel_aspect, words(tr("it is"), side.late), list);
}

void draw_ghosts(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list) {
    if (view.tool != PictureTool::which_way) return;
    static constexpr int strength[] = {90, 65, 45};
    const Point far{static_cast<double>(view.width), static_cast<double>(view.height)};
    for (std::size_t i = 0; i < view.side.ghosts.size() && i < 3; ++i)
        if (const Texture* texture = scene.textures.get(view.side.ghosts[i]))
            add_picture(list, *texture, frame.to_screen({0, 0}), frame.to_screen(far), {0, 0}, {1, 1},
                        IM_COL32(255, 255, 255, strength[i]));
}

}  // namespace plumbmark::desk
