#include "desk/internal/camera_mode.h"

#include <algorithm>
#include <cmath>

#include "desk/internal/camera_desk.h"
#include "desk/internal/say.h"
#include "sight/camera.h"

namespace plumbmark::desk {
namespace {

bool same_surface(const review::PlanSpot& a, const review::PlanSpot& b) {
    return a.place.kind == b.place.kind && a.place.key == b.place.key;
}

Point middle_of(const PicturesView& view) {
    return view.pointer.value_or(Point{view.centre[0] * view.width, view.centre[1] * view.height});
}

void move_cross(const PicturesView& view, Point& cross, double dx, double dy) {
    cross = {std::clamp(cross[0] + dx, 0.0, static_cast<double>(view.width)),
             std::clamp(cross[1] + dy, 0.0, static_cast<double>(view.height))};
}

/// The arrows' step over the picture; none of another key.
std::optional<Point> arrow(int key, int mods) {
    const double step = (mods & kShift) != 0 ? 10 : (mods & kAlt) != 0 ? 0.25 : 1;
    switch (key) {
        case key_left:
            return Point{-step, 0};
        case key_right:
            return Point{step, 0};
        case key_up:
            return Point{0, -step};
        case key_down:
            return Point{0, step};
        default:
            return std::nullopt;
    }
}

void take_lens(CameraMode& mode, int lens) {
    mode.lens = lens;
    mode.stand.knowledge = lens == -2   ? meet::LensKnown::focal_length
                           : lens == -1 ? meet::LensKnown::focal_and_radial
                                        : meet::LensKnown::measured;
    mode.stand.lens = lens >= 0 ? mode.lenses[static_cast<std::size_t>(lens)].id : meet::LensId{};
}

void set_point(CameraMode& mode, const CameraDesk& camera) {
    const meet::PlanPlace place = mode.spots[static_cast<std::size_t>(mode.asked)].place;
    if (mode.edge) {
        const int to = mode.neighbour(mode.asked);
        if (to < 0) return;
        auto& edges = mode.stand.edges;
        auto have = std::find_if(edges.begin(), edges.end(),
                                 [&](const meet::StandEdge& one) { return one.from == place; });
        if (have == edges.end())
            have = edges.insert(
                edges.end(),
                {place, mode.spots[static_cast<std::size_t>(to)].place, {}, review::kCornerPointing});
        have->at.push_back(mode.cross);
        return;
    }
    auto& points = mode.stand.points;
    const auto have = std::find_if(points.begin(), points.end(),
                                   [&](const meet::StandPoint& one) { return one.place == place; });
    if (have != points.end())
        have->at = mode.cross;
    else
        points.push_back({place, mode.cross, review::kCornerPointing});
    ask_next(mode, camera);
}

void take_away(CameraMode& mode) {
    if (mode.asked < 0) return;
    const meet::PlanPlace place = mode.spots[static_cast<std::size_t>(mode.asked)].place;
    if (mode.edge) {
        for (meet::StandEdge& edge : mode.stand.edges)
            if (edge.from == place && !edge.at.empty()) edge.at.pop_back();
        std::erase_if(mode.stand.edges, [](const meet::StandEdge& edge) { return edge.at.empty(); });
        return;
    }
    std::erase_if(mode.stand.points, [&](const meet::StandPoint& one) { return one.place == place; });
}

void keep(PicturesView& view, Commands& commands) {
    CameraMode& mode = view.camera;
    if (mode.stand.points.empty() && mode.stand.edges.empty()) {
        if (mode.stored) commands.add(OfCamera{DropStand{mode.stored->id}});
    } else {
        std::optional<meet::CameraLens> lens;
        if (mode.lens >= 0) lens = mode.lenses[static_cast<std::size_t>(mode.lens)];
        commands.add(OfCamera{KeepStand{mode.stand, lens}});  // which ends it, once it is kept
        return;
    }
    mode = {};
}

/// The point of the stand under the pointer.
int spot_under(const CameraMode& mode, const PictureFrame& frame, ImVec2 mouse, float reach) {
    for (std::size_t i = 0; i < mode.spots.size(); ++i) {
        const meet::StandPoint* point = mode.point(static_cast<int>(i));
        if (point == nullptr) continue;
        const ImVec2 at = frame.to_screen(point->at);
        if (std::hypot(at.x - mouse.x, at.y - mouse.y) <= reach) return static_cast<int>(i);
    }
    return -1;
}

}  // namespace

const meet::StandPoint* CameraMode::point(int spot) const {
    if (spot < 0) return nullptr;
    const meet::PlanPlace& place = spots[static_cast<std::size_t>(spot)].place;
    const auto found = std::find_if(stand.points.begin(), stand.points.end(),
                                    [&](const meet::StandPoint& one) { return one.place == place; });
    return found == stand.points.end() ? nullptr : &*found;
}

const meet::StandEdge* CameraMode::edge_from(int spot) const {
    if (spot < 0) return nullptr;
    const meet::PlanPlace& place = spots[static_cast<std::size_t>(spot)].place;
    const auto found = std::find_if(stand.edges.begin(), stand.edges.end(),
                                    [&](const meet::StandEdge& one) { return one.from == place; });
    return found == stand.edges.end() ? nullptr : &*found;
}

int CameraMode::neighbour(int spot) const {
    if (spot < 0) return -1;
    const auto at = static_cast<std::size_t>(spot);
    if (at + 1 < spots.size() && same_surface(spots[at], spots[at + 1])) return spot + 1;
    // Around to the first corner; of a line's two ends there is no way on.
    std::size_t first = at;
    while (first > 0 && same_surface(spots[first - 1], spots[at]))
        --first;
    return at - first >= 2 ? static_cast<int>(first) : -1;
}

void begin_camera(PicturesView& view, const course::CourseBook& book, meet::ClipId clip,
                  const meet::FrameRef& frame, const std::optional<meet::CameraStand>& stored,
                  std::vector<meet::CameraLens> lenses) {
    CameraMode& mode = view.camera;
    mode = {};
    mode.active = true;
    mode.spots = review::plan_spots(book);
    mode.lenses = std::move(lenses);
    mode.stored = stored;
    if (stored) mode.stand = *stored;
    mode.stand.clip = clip;
    mode.stand.still = frame;
    mode.cross = middle_of(view);
    int lens = mode.stand.knowledge == meet::LensKnown::focal_and_radial ? -1 : -2;
    for (std::size_t i = 0; i < mode.lenses.size(); ++i)
        if (stored && stored->lens.valid() && mode.lenses[i].id == stored->lens) lens = static_cast<int>(i);
    take_lens(mode, lens);
    mode.asked = mode.spots.empty() ? -1 : 0;
    if (mode.point(0) != nullptr)
        for (int i = 0; i < static_cast<int>(mode.spots.size()); ++i)
            if (mode.point(i) == nullptr) {
                mode.asked = i;
                break;
            }
}

void ask_for(CameraMode& mode, int spot, const CameraDesk& camera) {
    mode.asked = spot;
    mode.edge = false;
    if (const meet::StandPoint* point = mode.point(spot)) {
        mode.cross = point->at;
        return;
    }
    const CameraDesk::Found* draft = camera.draft();
    if (spot < 0 || draft == nullptr || !*draft) return;
    if (const auto seen =
            sight::project((*draft)->camera.camera, mode.spots[static_cast<std::size_t>(spot)].at))
        mode.cross = (*draft)->to_picture(*seen);
}

void ask_next(CameraMode& mode, const CameraDesk& camera) {
    const int count = static_cast<int>(mode.spots.size());
    for (int i = 1; i <= count; ++i) {
        const int spot = (mode.asked + i) % count;
        if (mode.point(spot) == nullptr) return ask_for(mode, spot, camera);
    }
    mode.asked = -1;
}

bool camera_key(PicturesView& view, const CameraDesk& camera, int key, int mods, Commands& commands) {
    CameraMode& mode = view.camera;
    if ((mods & kCtrl) != 0) return false;
    if (const auto step = arrow(key, mods)) {
        move_cross(view, mode.cross, (*step)[0], (*step)[1]);
        return true;
    }
    if ((mods & kAlt) != 0) return false;
    const int count = static_cast<int>(mode.spots.size());
    switch (key) {
        case key_enter:
        case key_keypad_enter:
            if (mode.asked < 0)
                keep(view, commands);
            else
                set_point(mode, camera);
            return true;
        case 'K':
            return keep(view, commands), true;
        case key_escape:
            if (mode.edge)
                mode.edge = false;
            else
                mode = {};
            return true;
        case key_delete:
        case key_backspace:
            return take_away(mode), true;
        case key_tab: {
            if (count == 0) return true;
            const int from = mode.asked < 0 ? ((mods & kShift) != 0 ? 0 : count - 1) : mode.asked;
            ask_for(mode, (from + ((mods & kShift) != 0 ? count - 1 : 1)) % count, camera);
            return true;
        }
        case 'E':
            mode.edge = !mode.edge && mode.neighbour(mode.asked) >= 0;
            return true;
        case 'L': {
            const int lenses = static_cast<int>(mode.lenses.size());
            take_lens(mode, mode.lens + 1 >= lenses ? -2 : mode.lens + 1);
            return true;
        }
        default:
            return false;
    }
}

bool point_key(PicturesView& view, int key, int mods, Commands& commands) {
    PointMode& mode = view.point;
    if ((mods & kCtrl) != 0) return false;
    if (key == key_delete || key == key_backspace) {
        commands.add(OfCamera{PointAtMark{mode.mark, std::nullopt}});
        mode = {};
        return true;
    }
    if (const auto step = arrow(key, mods)) {
        move_cross(view, mode.cross, (*step)[0], (*step)[1]);
        return true;
    }
    if (key == key_enter || key == key_keypad_enter) {
        commands.add(OfCamera{PointAtMark{mode.mark, mode.cross}});
        mode = {};
        return true;
    }
    if (key == key_escape) return mode = {}, true;
    return false;
}

std::string camera_enter_words(const CameraMode& mode) {
    if (mode.asked < 0) return tr("keep it");
    const std::string name = mode.spots[static_cast<std::size_t>(mode.asked)].name.spoken();
    if (!mode.edge) return tr("{} is here", name);
    const int to = mode.neighbour(mode.asked);
    return tr("the edge from {} to {} runs here", name,
              to < 0 ? "" : mode.spots[static_cast<std::size_t>(to)].name.spoken());
}

std::string lens_words(const CameraMode& mode) {
    if (mode.lens == -2) return tr("The focal length is found from the places.");
    if (mode.lens == -1) return tr("The focal length, and how the lens bends, are found from the places.");
    const meet::CameraLens& lens = mode.lenses[static_cast<std::size_t>(mode.lens)];
    return tr("Lens '{}', measured: {:.0f} px ± {:.0f}.", lens.camera, lens.fx,
              lens.fx * lens.focal_standard);
}

namespace {

void draw_cross(ImDrawList* list, const Look& look, ImVec2 c) {
    const float arm = look.unit(14), gap = look.unit(3);
    for (const float shadow : {look.unit(3), 0.0F}) {
        const ImU32 shade = shadow > 0 ? IM_COL32(0, 0, 0, 180) : ink(rgb(0xFFFFFF));
        const float thick = look.unit(1.5F) + shadow;
        list->AddLine({c.x - arm, c.y}, {c.x - gap, c.y}, shade, thick);
        list->AddLine({c.x + gap, c.y}, {c.x + arm, c.y}, shade, thick);
        list->AddLine({c.x, c.y - arm}, {c.x, c.y - gap}, shade, thick);
        list->AddLine({c.x, c.y + gap}, {c.x, c.y + arm}, shade, thick);
    }
}

/// How much longer than they are the lines are drawn that show how far places are off.
constexpr double kMagnified = 20;

class Pointed {
  public:
    Pointed(const Scene& scene, const PictureFrame& frame, const CameraMode& mode, ImDrawList* list)
        : s_(scene), look_(scene.look), frame_(frame), mode_(mode), list_(list) {}

    void draw() {
        for (std::size_t i = 0; i < mode_.spots.size(); ++i) {
            const int spot = static_cast<int>(i);
            if (const meet::StandEdge* edge = mode_.edge_from(spot))
                for (const Point& at : edge->at)
                    tick(frame_.to_screen(at));
            if (const meet::StandPoint* point = mode_.point(spot))
                place(frame_.to_screen(point->at), i);
            else
                expected(i);
        }
        off();
        if (mode_.asked >= 0) draw_cross(list_, look_, frame_.to_screen(mode_.cross));
        const std::string words = mode_.asked >= 0 ? camera_enter_words(mode_)
                                                   : std::string(tr("every place of the plan is pointed at"));
        draw_label(list_, look_, {frame_.box.x + look_.unit(8), frame_.box.bottom() - look_.unit(32)}, words,
                   look_.fonts.strong, look_.colours->label, look_.colours->label_ink);
    }

  private:
    void tick(ImVec2 at) {
        list_->AddCircleFilled(at, look_.unit(4), IM_COL32(0, 0, 0, 180), 12);
        list_->AddCircleFilled(at, look_.unit(2.5F), ink(rgb(0xFFFFFF)), 12);
    }
    void place(ImVec2 at, std::size_t i) {
        const float r = look_.unit(static_cast<int>(i) == mode_.asked ? 7 : 5);
        const float thick = std::max(1.0F, look_.unit(1.5F));
        list_->AddCircle(at, r, IM_COL32(0, 0, 0, 200), 24, thick + look_.unit(2));
        list_->AddCircle(at, r, ink(rgb(0xFFFFFF)), 24, thick);
        if (static_cast<int>(i) == mode_.asked) number({at.x + r, at.y - r}, i);
    }
    void number(ImVec2 at, std::size_t i) {
        draw_label(list_, look_, {at.x, at.y - look_.unit(20)}, std::to_string(i + 1), look_.fonts.small,
                   look_.colours->label, look_.colours->label_ink);
    }
    /// Where a place that is not pointed at would be seen.
    void expected(std::size_t i) {
        const CameraDesk::Found* draft = s_.camera.draft();
        if (draft == nullptr || !*draft) return;
        const auto seen = sight::project((*draft)->camera.camera, mode_.spots[i].at);
        if (!seen) return;
        const ImVec2 at = frame_.to_screen((*draft)->to_picture(*seen));
        const float r = look_.unit(4);
        list_->AddLine({at.x - r, at.y - r}, {at.x + r, at.y + r}, IM_COL32(255, 255, 255, 150), 1);
        list_->AddLine({at.x - r, at.y + r}, {at.x + r, at.y - r}, IM_COL32(255, 255, 255, 150), 1);
    }
    void off() {
        const CameraDesk::Found* draft = s_.camera.draft();
        if (draft == nullptr || !*draft) return;
        const review::FoundCamera& found = **draft;
        const auto& residuals = found.camera.residuals;
        for (std::size_t i = 0; i < residuals.size(); ++i) {
            const bool wrong = std::any_of(found.camera.suspects.begin(), found.camera.suspects.end(),
                                           [&](const sight::Suspect& one) { return one.residual == i; });
            const double by = wrong ? 1 : kMagnified;
            const Point seen = found.to_picture(residuals[i].seen),
                        there = found.to_picture(residuals[i].expected);
            const ImVec2 from = frame_.to_screen(seen);
            const ImVec2 to =
                frame_.to_screen({seen[0] + by * (there[0] - seen[0]), seen[1] + by * (there[1] - seen[1])});
            list_->AddLine(from, to, IM_COL32(0, 0, 0, 170), look_.unit(4));
            list_->AddLine(from, to, ink(wrong ? kVermilion : kOrange), look_.unit(2));
        }
    }

    const Scene& s_;
    const Look& look_;
    const PictureFrame& frame_;
    const CameraMode& mode_;
    ImDrawList* list_;
};

}  // namespace

void draw_camera(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                 bool hovered) {
    CameraMode& mode = view.camera;
    const ImVec2 mouse = ImGui::GetMousePos();
    if (hovered && ImGui::IsMouseClicked(0)) {
        const int under = spot_under(mode, frame, mouse, scene.look.unit(6));
        if (under >= 0) {
            ask_for(mode, under, scene.camera);
            mode.dragging = true;
        } else {
            mode.cross = frame.to_picture(mouse);
            if (mode.asked >= 0) set_point(mode, scene.camera);
        }
    }
    if (!ImGui::IsMouseDown(0)) mode.dragging = false;
    const ImVec2 moved = ImGui::GetIO().MouseDelta;
    if (mode.dragging && (moved.x != 0 || moved.y != 0))
        for (meet::StandPoint& point : mode.stand.points)
            if (mode.asked >= 0 && point.place == mode.spots[static_cast<std::size_t>(mode.asked)].place)
                point.at = mode.cross = frame.to_picture(mouse);
    if (hovered && !mode.dragging && (moved.x != 0 || moved.y != 0)) mode.cross = frame.to_picture(mouse);
    Pointed(scene, frame, mode, list).draw();
}

void draw_pointing(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                   bool hovered) {
    PointMode& mode = view.point;
    const ImVec2 mouse = ImGui::GetMousePos(), moved = ImGui::GetIO().MouseDelta;
    if (hovered && (moved.x != 0 || moved.y != 0)) mode.cross = frame.to_picture(mouse);
    if (hovered && ImGui::IsMouseClicked(0)) {
        scene.commands.add(OfCamera{PointAtMark{mode.mark, frame.to_picture(mouse)}});
        mode = {};
        return;
    }
    draw_cross(list, scene.look, frame.to_screen(mode.cross));
    draw_label(list, scene.look, {frame.box.x + scene.look.unit(8), frame.box.bottom() - scene.look.unit(32)},
               tr("point at the place itself, where it touches or crosses"), scene.look.fonts.strong,
               scene.look.colours->label, scene.look.colours->label_ink);
}

}  // namespace plumbmark::desk
