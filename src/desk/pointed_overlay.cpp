// Where the run's marks were pointed at to be measured, on the frame on the screen.
#include <cmath>

#include "desk/internal/paint.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {
namespace {

/// A ring that is whole where somebody pointed, and of dots where the pictures were followed.
void ring(ImDrawList* list, ImVec2 c, float r, bool dotted, ImU32 colour, float thick) {
    if (!dotted) return list->AddCircle(c, r, colour, 24, thick);
    constexpr int kDots = 8;
    for (int i = 0; i < kDots; ++i) {
        const auto turn = static_cast<float>(2 * M_PI * i / kDots);
        list->AddCircleFilled({c.x + r * std::cos(turn), c.y + r * std::sin(turn)}, thick, colour, 8);
    }
}

void draw(const Look& look, ImDrawList* list, ImVec2 c, bool chosen, bool followed) {
    const float r = look.unit(chosen ? 9.0F : 6.0F);
    for (const bool shadow : {true, false}) {
        const float thick = look.unit(chosen ? 1.6F : 1.2F) + (shadow ? look.unit(1.5F) : 0.0F);
        const ImU32 colour = shadow ? IM_COL32(0, 0, 0, 170) : ink(rgb(0xFFFFFF));
        ring(list, c, r, followed, colour, thick);
        list->AddCircleFilled(c, thick, colour, 8);
    }
}

}  // namespace

void draw_pointed(const Scene& scene, const PictureFrame& frame, ImDrawList* list) {
    const review::Session& session = scene.session;
    const std::int64_t shown = session.picture().exact ? session.picture().frame : -1;
    for (const meet::Mark& mark : session.state().marks_of(session.run()))
        for (const meet::Pointed& one : mark.pointed)
            if (one.clip == frame.clip && one.frame.number == shown)
                draw(scene.look, list, frame.to_screen(one.at), mark.id == session.selected(),
                     one.followed.has_value());
}

}  // namespace plumbmark::desk
