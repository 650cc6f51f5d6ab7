// While the plan's places are pointed at: the plan from above, the places and how far off each is, and where
// that puts the camera. Stands in the sheet's place.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/camera_desk.h"
#include "desk/internal/camera_mode.h"
#include "desk/internal/say.h"
#include "desk/internal/sheet_pen.h"
#include "review/measures.h"

namespace plumbmark::desk {
namespace {

/// Which residual a place has; none where it was not pointed at itself.
const sight::Residual* residual_of(const review::FoundCamera& found, const meet::CameraStand& stand,
                                   const meet::PlanPlace& place, bool* suspected) {
    for (std::size_t i = 0; i < stand.points.size() && i < found.camera.residuals.size(); ++i) {
        if (stand.points[i].place != place) continue;
        *suspected = std::any_of(found.camera.suspects.begin(), found.camera.suspects.end(),
                                 [&](const sight::Suspect& one) { return one.residual == i; });
        return &found.camera.residuals[i];
    }
    return nullptr;
}

class Panel {
  public:
    Panel(const Scene& scene, const Box& box, CameraMode& mode)
        : s_(scene), look_(scene.look), c_(*scene.look.colours), box_(box), mode_(mode), pen_(scene, box) {}

    void draw() {
        const review::ClipView* clip = s_.session.current_clip();
        pen_.gap(14);
        pen_.words(tr("Where {} stands", clip ? clip->name : std::string()), look_.fonts.title, c_.paper_ink);
        pen_.words(
            tr("Point at the places of the plan in f {}, one after the other. Four are enough where they "
               "do not all lie on one level; more make it better.",
               mode_.stand.still.number),
            look_.fonts.body, c_.paper_soft);
        pen_.gap(8);
        sketch();
        answer();
        pen_.gap(8);
        places();
        pen_.gap(8);
        pen_.words(lens_words(mode_), look_.fonts.body, c_.paper_ink);
        pen_.gap(12);
        pen_.line();
        pen_.words(
            tr("What is measured says how sure it is. It does not prove that anything is built safely: that "
               "is for qualified inspection under local codes."),
            look_.fonts.small, c_.paper_soft);
        pen_.gap(16);
        pen_.finish();
    }

  private:
    /// The plan from above, as wide as the panel; the places with their numbers.
    void sketch() {
        const course::CourseBook* book = s_.session.book();
        if (book == nullptr || mode_.spots.empty()) return;
        double low[2]{1e9, 1e9}, high[2]{-1e9, -1e9};
        for (const review::PlanSpot& spot : mode_.spots) {
            const double at[2]{spot.at.x, spot.at.y};
            for (int k = 0; k < 2; ++k) {
                low[k] = std::min(low[k], at[k]);
                high[k] = std::max(high[k], at[k]);
            }
        }
        const float left = box_.x + look_.unit(30), wide = box_.w - look_.unit(64);
        const double span = std::max({high[0] - low[0], 0.1, (high[1] - low[1]) * 1.5});
        const auto scale = static_cast<float>(wide / span);
        const float tall = static_cast<float>(high[1] - low[1]) * scale + look_.unit(36);
        const float top = pen_.y() + look_.unit(18);
        // y to the left of who looks along x: up on paper.
        const auto at = [&](double x, double y) {
            return ImVec2{left + static_cast<float>(x - low[0]) * scale,
                          top + static_cast<float>(high[1] - y) * scale};
        };
        ImDrawList* list = ImGui::GetWindowDrawList();
        for (const course::SurfacePlan& surface : book->plan.surfaces) {
            const std::size_t n = surface.outline.size();
            for (std::size_t i = 0; i < n; ++i)
                list->AddLine(at(surface.outline[i][0], surface.outline[i][1]),
                              at(surface.outline[(i + 1) % n][0], surface.outline[(i + 1) % n][1]),
                              ink(c_.paper_soft), 1);
            for (std::size_t i = 0; i + 1 < surface.line.size(); ++i)
                list->AddLine(at(surface.line[i][0], surface.line[i][1]),
                              at(surface.line[i + 1][0], surface.line[i + 1][1]), ink(c_.paper_soft),
                              look_.unit(2));
        }
        for (const course::PlanePlan& plane : book->plan.planes)
            list->AddLine(at(plane.from[0], plane.from[1]), at(plane.to[0], plane.to[1]), ink(kPlane),
                          look_.unit(2));
        camera_on(list, at, {box_.x, top - look_.unit(12), box_.w, tall});
        for (std::size_t i = 0; i < mode_.spots.size(); ++i)
            dot(list, at(mode_.spots[i].at.x, mode_.spots[i].at.y), static_cast<int>(i));
        pen_.gap(tall / look_.unit(1));
    }

    template <class At>
    void camera_on(ImDrawList* list, const At& at, const Box& sketch) const {
        const CameraDesk::Found* draft = s_.camera.draft();
        if (draft == nullptr || !*draft) return;
        const sight::Vec3 stands = sight::centre((*draft)->camera.camera);
        const ImVec2 place = at(stands.x, stands.y);
        if (!sketch.holds(place.x, place.y)) return;  // further off than the sketch reaches
        list->AddTriangleFilled({place.x - look_.unit(5), place.y + look_.unit(4)},
                                {place.x + look_.unit(5), place.y + look_.unit(4)},
                                {place.x, place.y - look_.unit(6)}, ink(c_.paper_ink));
    }

    void dot(ImDrawList* list, ImVec2 at, int spot) const {
        const bool asked = spot == mode_.asked, pointed = mode_.point(spot) != nullptr;
        const float r = look_.unit(asked ? 6 : 3.5F);
        list->AddCircleFilled(at, r, ink(c_.paper), 20);
        if (pointed) list->AddCircleFilled(at, r, ink(c_.paper_ink), 20);
        list->AddCircle(at, r, ink(asked ? kVermilion : c_.paper_ink), 20, look_.unit(asked ? 2.5F : 1));
        if (asked)
            look_.words->draw(list, look_.fonts.strong, {at.x + look_.unit(8), at.y - look_.unit(18)},
                              c_.paper_ink, std::to_string(spot + 1));
    }

    void answer() {
        const CameraDesk::Found* draft = s_.camera.draft();
        pen_.begin_card(c_.paper_card, c_.paper_line);
        if (draft == nullptr)
            pen_.words(s_.camera.drafting()
                           ? tr("It is being worked out.")
                           : tr("After four places it is said here where the camera stands."),
                       look_.fonts.body, c_.paper_soft);
        else if (!*draft)
            pen_.words(draft->error().spoken(), look_.fonts.body, c_.paper_ink);
        else
            answer(**draft);
        pen_.end_card();
    }

    void answer(const review::FoundCamera& found) {
        const sight::CalibratedCamera& camera = found.camera;
        const sight::Vec3 at = sight::centre(camera.camera), off = camera.centre_standard();
        const double largest = 2 * std::max({off.x, off.y, off.z});
        pen_.words(tr("It stands at x {:.2f}, y {:.2f}, {:.2f} m high, within {}.", at.x, at.y, at.z,
                      review::length_words(largest)),
                   look_.fonts.strong, c_.paper_ink);
        const double angle = 2 * std::atan(found.form.width * found.form.aspect / 2 / camera.camera.lens.fx);
        pen_.words(tr("It sees {:.0f}° across; focal length {:.0f} ± {:.0f} px.", angle * 57.29577951308232,
                      camera.camera.lens.fx, 2 * camera.focal_standard()),
                   look_.fonts.body, c_.paper_ink);
        pen_.words(tr("The places are seen within {:.1f} px of where they were pointed at.", camera.rms),
                   look_.fonts.body, c_.paper_ink);
        for (const sight::Suspect& one : camera.suspects)
            pen_.words(suspect_words(found, one), look_.fonts.strong, c_.paper_ink);
        if (camera.suspects.empty() && !camera.can_tell)
            pen_.words(tr("A wrong place would not be noticed yet: point at one or two more."),
                       look_.fonts.body, c_.paper_soft);
        if (found.supposed_tape)
            pen_.words(tr("The plan does not say how well it was taped; {} is supposed.",
                          review::length_words(review::kSupposedTape)),
                       look_.fonts.small, c_.paper_soft);
    }

    static std::string suspect_words(const review::FoundCamera& found, const sight::Suspect& one) {
        const std::size_t point = one.residual;
        std::string name = found.camera.residuals[point].name;
        for (const review::PlanSpot& spot : found.spots)
            if (spot.name.english() == name) name = spot.name.spoken();
        const std::string far = fmt::format("{:.0f}", one.pixels_alone);
        if (one.instead)
            return tr("{} is {} px off by what the others say. {} would be seen there: was that one meant?",
                      name, far, found.spots[*one.instead].name.spoken());
        return tr("{} is {} px off by what the others say. Point at it again, or measure it again.", name,
                  far);
    }

    void places() {
        const CameraDesk::Found* draft = s_.camera.draft();
        for (std::size_t i = 0; i < mode_.spots.size(); ++i) {
            const int spot = static_cast<int>(i);
            const bool pointed = mode_.point(spot) != nullptr, asked = spot == mode_.asked;
            bool suspected = false;
            const sight::Residual* residual =
                draft != nullptr && *draft
                    ? residual_of(**draft, mode_.stand, mode_.spots[i].place, &suspected)
                    : nullptr;
            std::string end;
            if (residual != nullptr)
                end = suspected ? tr("{:.1f} px ?", residual->pixels) : tr("{:.1f} px", residual->pixels);
            else if (pointed)
                end = tr("pointed at");
            if (const meet::StandEdge* edge = mode_.edge_from(spot))
                end += (end.empty() ? "" : ", ") + tr_n("{} point on the edge", "{} points on the edge",
                                                        static_cast<std::int64_t>(edge->at.size()));
            row(spot, fmt::format("{}  {}", i + 1, mode_.spots[i].name.spoken()), end, asked, pointed);
        }
    }

    void row(int spot, const std::string& name, const std::string& end, bool asked, bool pointed) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const Box line{box_.x + look_.unit(12), pen_.y(), box_.w - look_.unit(30), look_.unit(28)};
        if (asked) list->AddRectFilled({line.x, line.y}, {line.right(), line.bottom()}, ink(c_.paper_focus));
        const float middle = line.y + (line.h - Words::line_height(look_.fonts.body)) / 2;
        const float w = look_.words->width(look_.fonts.body, end);
        look_.words->draw(list, asked ? look_.fonts.strong : look_.fonts.body,
                          {line.x + look_.unit(6), middle}, pointed || asked ? c_.paper_ink : c_.paper_soft,
                          look_.words->fitted(look_.fonts.body, name, line.w - w - look_.unit(24)));
        look_.words->draw(list, look_.fonts.body, {line.right() - w - look_.unit(6), middle}, c_.paper_ink,
                          end);
        if (hit(("spot " + std::to_string(spot)).c_str(), line)) s_.commands.add(OfCamera{AskForSpot{spot}});
        pen_.gap(28);
        if (!asked || mode_.in_sight == spot) return;
        mode_.in_sight = spot;
        keep_in_sight(line.y - ImGui::GetWindowPos().y + ImGui::GetScrollY(), line.h);
    }

    const Scene& s_;
    const Look& look_;
    const Palette& c_;
    const Box box_;
    CameraMode& mode_;
    SheetPen pen_;
};

}  // namespace

void draw_camera_panel(const Scene& scene, const Box& box, CameraMode& mode) {
    begin_zone("camera panel", box, scene.look.colours->paper);
    begin_child("camera page", {box.w, box.h}, ImGuiWindowFlags_NoNav);
    Panel(scene, box, mode).draw();
    ImGui::EndChild();
    ImGui::End();
}

}  // namespace plumbmark::desk
