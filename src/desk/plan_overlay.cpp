// The course book's plan as the clip's camera sees it.
#include <algorithm>
#include <cmath>

#include "desk/internal/camera_desk.h"
#include "desk/internal/panels.h"
#include "sight/plan_view.h"

namespace plumbmark::desk {
namespace {

/// How high a plane is drawn over its line, metres: about as high as somebody reaches.
constexpr double kPlaneHeight = 2.4;
/// Between the upright strokes of a plane, metres.
constexpr double kStrokes = 0.5;
/// A surface no higher than this is taken to stand on the ground, and hides what is behind it; others are
/// plates.
constexpr double kStanding = 1.6, kPlate = 0.03;

class Plan {
  public:
    Plan(const Scene& scene, const PictureFrame& frame, const review::FoundCamera& found,
         const course::CourseBook& book, ImDrawList* list)
        : look_(scene.look), frame_(frame), found_(found), book_(book), list_(list) {
        for (const course::SurfacePlan& surface : book_.plan.surfaces) {
            if (surface.outline.size() < 3) continue;
            sight::Block block{{}, std::min(0.0, surface.top), surface.top};
            for (const course::PlanPoint& at : surface.outline)
                block.outline.push_back(at);
            if (surface.top > kStanding) block.bottom = surface.top - kPlate;
            blocks_.push_back(std::move(block));
        }
    }

    void draw() {
        for (const course::SurfacePlan& surface : book_.plan.surfaces)
            draw(surface);
        for (const course::PlanePlan& plane : book_.plan.planes)
            draw(plane);
    }

  private:
    void draw(const course::SurfacePlan& surface) {
        const Colour pale = rgb(0xBFE3F7);
        const std::size_t corners = surface.outline.size();
        for (std::size_t i = 0; i < corners; ++i) {
            const course::PlanPoint &a = surface.outline[i], &b = surface.outline[(i + 1) % corners];
            line({a[0], a[1], surface.top}, {b[0], b[1], surface.top}, pale, 1.25F);
        }
        for (std::size_t i = 0; i + 1 < surface.line.size(); ++i) {
            const course::SpacePoint &a = surface.line[i], &b = surface.line[i + 1];
            line({a[0], a[1], a[2]}, {b[0], b[1], b[2]}, pale, 1.25F);
        }
    }

    /// Upright over its line: its foot, its upright strokes and its upper edge, and on the foot small ticks
    /// to the far side.
    void draw(const course::PlanePlan& plane) {
        const double foot = foot_of(plane);
        const sight::Vec3 from{plane.from[0], plane.from[1], foot}, to{plane.to[0], plane.to[1], foot};
        const sight::Vec3 up{0, 0, kPlaneHeight}, along = to - from;
        const double reach = sight::length(along);
        if (!(reach > 1e-6)) return;
        line(from, to, kPlane, 2);
        line(from + up, to + up, kPlane, 1);
        const int strokes = std::max(1, static_cast<int>(std::lround(reach / kStrokes)));
        for (int i = 0; i <= strokes; ++i) {
            const sight::Vec3 at = from + (static_cast<double>(i) / strokes) * along;
            line(at, at + up, kPlane, i == 0 || i == strokes ? 1.5F : 0.75F);
        }
        const sight::Vec3 ahead = sight::unit(along), left{-ahead.y, ahead.x, 0};
        const double side =
            sight::dot({plane.past[0] - plane.from[0], plane.past[1] - plane.from[1], 0}, left);
        const sight::Vec3 tick = (side > 0 ? 0.12 : -0.12) * left;
        for (int i = 0; i < strokes * 2; ++i) {
            const sight::Vec3 at = from + ((i + 0.5) / (2.0 * strokes)) * along;
            line(at, at + tick, kPlane, 1);
        }
    }

    /// A plane has no height of its own: it stands on the surface at whose edge it is, else on the ground.
    [[nodiscard]] double foot_of(const course::PlanePlan& plane) const {
        for (const course::SurfacePlan& surface : book_.plan.surfaces)
            for (const course::PlanPoint& at : surface.outline)
                if (std::hypot(at[0] - plane.from[0], at[1] - plane.from[1]) < 0.02) return surface.top;
        return 0;
    }

    void line(sight::Vec3 from, sight::Vec3 to, Colour colour, float thick) {
        for (const sight::SeenStretch& stretch : sight::seen_line(found_.camera.camera, from, to, blocks_)) {
            const float wide = std::max(1.0F, look_.unit(thick));
            for (std::size_t i = 0; i + 1 < stretch.points.size(); ++i) {
                const ImVec2 a = frame_.to_screen(found_.to_picture(stretch.points[i]));
                const ImVec2 b = frame_.to_screen(found_.to_picture(stretch.points[i + 1]));
                if (stretch.hidden && i % 2 == 1) continue;
                list_->AddLine(a, b, IM_COL32(0, 0, 0, stretch.hidden ? 60 : 120), wide + look_.unit(1.5F));
                Colour shade = colour;
                if (stretch.hidden) shade.a = 150;
                list_->AddLine(a, b, ink(shade), wide);
            }
        }
    }

    const Look& look_;
    const PictureFrame& frame_;
    const review::FoundCamera& found_;
    const course::CourseBook& book_;
    ImDrawList* list_;
    std::vector<sight::Block> blocks_;
};

}  // namespace

void draw_plan(const Scene& scene, const PictureFrame& frame, ImDrawList* list) {
    const course::CourseBook* book = scene.session.book();
    if (book == nullptr || !scene.camera.shows_plan) return;
    const review::FoundCamera* found = scene.camera.camera(scene.session);
    const CameraDesk::Found* draft = scene.camera.draft();
    if (scene.views.pictures.camera.active) found = draft != nullptr && *draft ? &**draft : nullptr;
    if (found != nullptr) Plan(scene, frame, *found, *book, list).draw();
}

}  // namespace plumbmark::desk
