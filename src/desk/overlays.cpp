// What belongs to the scene, drawn over the picture: surfaces, planes, and where the chosen limb last
// touched.
#include <algorithm>
#include <cmath>

#include "desk/internal/following_desk.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {
namespace {

constexpr int kLastTouches = 3;

class Overlays {
  public:
    Overlays(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list)
        : s_(scene),
          look_(scene.look),
          frame_(frame),
          view_(view),
          list_(list),
          main_(frame.clip == scene.session.clip()) {}

    void draw() {
        for (const auto& [id, drawing] : s_.session.state().drawings()) {
            if (drawing.clip != frame_.clip) continue;
            // While the plan's places are pointed at, what was drawn by hand is in the way.
            if (main_ && view_.camera.active) break;
            if (main_ && view_.drawing.active && view_.drawing.key == drawing.key &&
                view_.drawing.kind == drawing.kind)
                continue;
            const review::Hand& hand = s_.session.hand();
            const bool surface = drawing.kind == meet::DrawingKind::surface;
            const bool in_hand = drawing.key == (surface ? hand.surface : hand.plane);
            const bool named = (main_ && in_hand) || (main_ && drawing.key == view_.hovered_key);
            const bool solid = s_.session.solid({meet::Kind::drawing, id.value});
            const PlacedDrawing placed = s_.following.placed(s_.session, drawing);
            const Stroke stroke{named, in_hand, solid, !placed.holds()};
            surface ? outline(drawing.key, placed, stroke) : plane(drawing.key, placed, stroke);
        }
        draw_touches();
        if (main_ && view_.spot && view_.spot_frame == s_.session.frame())
            dot(*view_.spot, look_.colours->label_ink, look_.unit(3), true);
    }

  private:
    struct Stroke {
        bool named, in_hand, solid;
        bool faint;  ///< it is not known to lie so
    };

    void stroke_line(ImVec2 a, ImVec2 b, Colour colour, float thick, const Stroke& stroke) {
        if (stroke.faint)
            draw_dotted(a, b, colour, thick);
        else if (stroke.solid)
            line(a, b, colour, thick);
        else
            draw_dashed(list_, look_, a, b, ink(colour), thick);
    }

    void draw_dotted(ImVec2 a, ImVec2 b, Colour colour, float thick) {
        const float length = std::hypot(b.x - a.x, b.y - a.y), step = look_.unit(7);
        const ImU32 pale = (ink(colour) & ~IM_COL32_A_MASK) | (static_cast<ImU32>(120) << IM_COL32_A_SHIFT);
        // A drawing that is zoomed far into reaches beyond the screen: no more dots than can be seen.
        const float at_least = std::max(step, length / 2000);
        for (float at = 0; at <= length && length > 0; at += at_least)
            list_->AddCircleFilled({a.x + (b.x - a.x) * at / length, a.y + (b.y - a.y) * at / length},
                                   std::max(1.0F, thick * 0.75F), pale, 8);
    }

    /// A line that shows on any picture: light, with a dark edge.
    void line(ImVec2 a, ImVec2 b, Colour colour, float thick) {
        list_->AddLine(a, b, IM_COL32(0, 0, 0, 150), thick + look_.unit(2));
        list_->AddLine(a, b, ink(colour), thick);
    }

    void label(ImVec2 at, const std::string& text) {
        const float w = look_.words->width(look_.fonts.small, text) + look_.unit(16);
        const float x =
            std::clamp(at.x - w / 2, frame_.box.x, std::max(frame_.box.x, frame_.box.right() - w));
        draw_label(list_, look_, {x, at.y}, text, look_.fonts.small, look_.colours->label,
                   look_.colours->label_ink);
    }

    void outline(const std::string& key, const PlacedDrawing& drawing, const Stroke& stroke) {
        const Colour white = rgb(0xFFFFFF);
        const float thick = std::max(1.0F, look_.unit(stroke.in_hand ? 2.25F : 1.25F));
        ImVec2 low{1e9F, 1e9F}, high{-1e9F, -1e9F};
        for (std::size_t i = 0; i < drawing.points.size(); ++i) {
            const ImVec2 a = frame_.to_screen(drawing.points[i]);
            const ImVec2 b = frame_.to_screen(drawing.points[(i + 1) % drawing.points.size()]);
            stroke_line(a, b, white, thick, stroke);
            low = {std::min(low.x, a.x), std::min(low.y, a.y)};
            high = {std::max(high.x, a.x), std::max(high.y, a.y)};
        }
        if (stroke.named)
            label({(low.x + high.x) / 2,
                   std::min(high.y + look_.unit(4), frame_.box.bottom() - look_.unit(28))},
                  surface_name(s_.session, key));
    }

    void plane(const std::string& key, const PlacedDrawing& drawing, const Stroke& stroke) {
        const float thick = std::max(1.0F, look_.unit(stroke.in_hand ? 2.5F : 1.5F));
        for (std::size_t i = 0; i + 1 < drawing.points.size(); ++i) {
            const ImVec2 a = frame_.to_screen(drawing.points[i]), b = frame_.to_screen(drawing.points[i + 1]);
            stroke_line(a, b, kPlane, thick, stroke);
            if (drawing.towards && !stroke.faint) ticks(a, b, frame_.to_screen(*drawing.towards), thick);
        }
        if (!stroke.named || drawing.points.empty()) return;
        const auto top = std::min_element(drawing.points.begin(), drawing.points.end(),
                                          [](const Point& a, const Point& b) { return a[1] < b[1]; });
        const ImVec2 at = frame_.to_screen(*top);
        label({at.x, std::max(frame_.box.y + look_.unit(36), at.y - look_.unit(30))},
              plane_name(s_.session, key));
    }

    /// Small ticks that point to the far side.
    void ticks(ImVec2 a, ImVec2 b, ImVec2 towards, float thick) {
        const float dx = b.x - a.x, dy = b.y - a.y, length = std::hypot(dx, dy);
        if (length < 1) return;
        const float side = dx * (towards.y - a.y) - dy * (towards.x - a.x) >= 0 ? 1.0F : -1.0F;
        const ImVec2 out{-dy / length * side * look_.unit(8), dx / length * side * look_.unit(8)};
        const float step = std::max(look_.unit(28), length / 24);
        for (float at = step / 2; at < length; at += step) {
            const ImVec2 from{a.x + dx * at / length, a.y + dy * at / length};
            line(from, {from.x + out.x, from.y + out.y}, kPlane, thick * 0.75F);
        }
    }

    void dot(Point at, Colour fill, float radius, bool ring) {
        const ImVec2 c = frame_.to_screen(at);
        list_->AddCircleFilled(c, radius + look_.unit(1.5F), IM_COL32(0, 0, 0, 170), 20);
        list_->AddCircleFilled(c, radius, ink(fill), 20);
        if (ring)
            list_->AddCircle(c, radius + look_.unit(4), ink(rgb(0xFFFFFF)), 24,
                             std::max(1.0F, look_.unit(1.25F)));
    }

    /// The last touches of the chosen limb up to this frame; older ones smaller.
    void draw_touches() {
        const auto part = s_.session.hand().part;
        std::vector<std::pair<std::int64_t, Point>> touches;
        for (const meet::Mark& mark : s_.session.state().marks_of(s_.session.run())) {
            if (!mark.spot || mark.sightings.empty()) continue;
            const meet::Event& event = mark.alternatives.front();
            const meet::Sighting& seen = mark.sightings.front();
            if (event.kind != meet::EventKind::touch || event.part != part || seen.clip != frame_.clip)
                continue;
            if (seen.late && seen.late->number <= s_.session.frame_of(frame_.clip))
                touches.emplace_back(seen.late->number, *mark.spot);
        }
        std::sort(touches.begin(), touches.end(),
                  [](const auto& a, const auto& b) { return a.first > b.first; });
        for (std::size_t i = 0; i < touches.size() && i < kLastTouches; ++i)
            dot(touches[i].second, part_colour(part.value_or(course::Part::other)),
                look_.unit(5.0F - 1.25F * static_cast<float>(i)), i == 0);
    }

    const Scene& s_;
    const Look& look_;
    const PictureFrame& frame_;
    const PicturesView& view_;
    ImDrawList* list_;
    bool main_;  ///< the clip that is worked on, not one beside it
};

}  // namespace

void draw_overlays(const Scene& scene, const PictureFrame& frame, const PicturesView& view,
                   ImDrawList* list) {
    Overlays(scene, frame, view, list).draw();
}

}  // namespace plumbmark::desk
