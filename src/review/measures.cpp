#include "review/measures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/worded.h"
#include "review/measured_moment.h"

namespace plumbmark::review {
namespace {

using base::Sentence;
using base::worded;

double across(const course::PlanPoint& from, const course::PlanPoint& to, const course::PlanPoint& at) {
    return (to[0] - from[0]) * (at[1] - from[1]) - (to[1] - from[1]) * (at[0] - from[0]);
}

/// Between a place and a line's nearest point, seen from above.
double beside(const course::PlanePlan& plan, const sight::Vec3& at) {
    const double dx = plan.to[0] - plan.from[0], dy = plan.to[1] - plan.from[1];
    const double square = dx * dx + dy * dy;
    const double along =
        square > 0 ? std::clamp(((at.x - plan.from[0]) * dx + (at.y - plan.from[1]) * dy) / square, 0.0, 1.0)
                   : 0;
    return std::hypot(at.x - plan.from[0] - along * dx, at.y - plan.from[1] - along * dy);
}

sight::PlaneEnd end_for(const course::PlanPoint& at, double tolerance, const FoundCamera& camera) {
    sight::PlaneEnd end{at[0], at[1], tolerance, {}};
    for (std::size_t i = 0; i < camera.spots.size(); ++i) {
        const sight::Vec3 spot = camera.spots[i].at;
        if (std::hypot(spot.x - at[0], spot.y - at[1]) < 0.001) end.place = i;
    }
    return end;
}

sight::Pointing pointing_at(const meet::Pointed& one, const FoundCamera& camera) {
    return {camera.to_camera(one.at), kBodyPointing, {}};
}

Sentence signed_words(double metres) {
    return metres < 0 ? worded("{} before", length_words(-metres)) : worded("{} past", length_words(metres));
}

class Work {
  public:
    Work(const meet::State& state, const meet::Mark& mark, const course::CourseBook& book,
         const CameraAt& camera_at)
        : state_(state), mark_(mark), book_(book), camera_at_(camera_at), pointed_(pointed_of(mark)) {}

    MarkMeasures done() {
        for (const meet::Event& event : mark_.alternatives) {
            if (event.kind == meet::EventKind::cross) cross(event.plane);
            if (event.kind == meet::EventKind::touch || event.kind == meet::EventKind::release)
                contact(event.surface);
        }
        return std::move(out_);
    }

  private:
    void contact(const std::string& key) {
        const course::SurfaceId id = book_.find_surface(key);
        const course::SurfacePlan* surface = id.valid() ? book_.plan.find(id) : nullptr;
        if (surface == nullptr || surface->outline.empty()) return;
        for (const meet::Pointed& one : pointed_) {
            const FoundCamera* camera = camera_at_(one.clip, one.frame);
            if (camera == nullptr) continue;
            const sight::Pointing pointing = pointing_at(one, *camera);
            const sight::Level level = level_for(book_, *surface, *camera);
            const auto at = sight::on_level(camera->camera, pointing, level);
            if (!at) {
                out_.troubles.push_back(at.error());
                continue;
            }
            for (const course::PlanePlan& plan : book_.plan.planes)
                if (beside(plan, at->position.at) < kNearPlane) contact(key, plan, one, *camera, level);
        }
        for (const course::PlanePlan& plan : book_.plan.planes)
            by_two(plan.plane, true);
    }

    void contact(const std::string& surface, const course::PlanePlan& plan, const meet::Pointed& one,
                 const FoundCamera& camera, const sight::Level& level) {
        const auto plane = plane_for(book_, plan.plane, camera);
        if (!plane) return;
        const auto measured = sight::on_level(camera.camera, pointing_at(one, camera), level, &*plane);
        if (!measured) return out_.troubles.push_back(measured.error());
        Measured& made = add(plan.plane, MeasuredHow::on_surface, {one}, *measured->distance);
        made.surface = surface;
        made.position = measured->position;
        finish(made, {&camera});
    }

    void cross(const std::string& key) {
        const course::PlaneId id = book_.find_plane(key);
        if (!id.valid() || book_.plan.find(id) == nullptr) return;
        if (by_two(id, false)) return;
        for (const meet::Pointed& one : pointed_)
            if (const FoundCamera* camera = camera_at_(one.clip, one.frame)) air(id, one, *camera);
    }

    /// True where there are two cameras, whatever came of it.
    bool by_two(course::PlaneId id, bool stands_still) {
        for (const meet::Pointed& one : pointed_) {
            if (one.clip != pointed_.front().clip) continue;
            for (const meet::Pointed& other : pointed_) {
                if (other.clip == one.clip) continue;
                const FoundCamera *first = camera_at_(one.clip, one.frame),
                                  *second = camera_at_(other.clip, other.frame);
                if (first == nullptr || second == nullptr) continue;
                by_two(id, one, *first, other, *second, stands_still);
                return true;
            }
        }
        return false;
    }

    void by_two(course::PlaneId id, const meet::Pointed& one, const FoundCamera& first,
                const meet::Pointed& other, const FoundCamera& second, bool stands_still) {
        const auto plane = plane_for(book_, id, first);
        const auto there = stands_still ? base::Result<sight::Pointing>(pointing_at(other, second))
                                        : moved_to(one, other.clip, second);
        if (!there) return out_.troubles.push_back(there.error());
        const auto met =
            sight::seen_by_two(first.camera, pointing_at(one, first), second.camera, *there, &*plane);
        if (!met) return out_.troubles.push_back(met.error());
        if (stands_still && beside(*book_.plan.find(id), met->position.at) > kNearPlane) return;
        if (!met->meets)
            return out_.troubles.push_back(
                {base::Category::bad_input,
                 worded(
                     "The lines of sight of the two cameras pass each other by {}, which is more than their "
                     "errors explain. See that both points are of the same part and the same moment.",
                     length_words(met->miss)),
                 {}});
        Measured& made = add(id, MeasuredHow::seen_by_two, {one, other}, *met->distance);
        made.position = met->position;
        finish(made, {&first, &second});
    }

    /// Where it would be pointed at in the other clip at that moment.
    base::Result<sight::Pointing> moved_to(const meet::Pointed& one, meet::ClipId other,
                                           const FoundCamera& camera) const {
        auto there = pointing_at_moment_of(state_, mark_, one, other, camera);
        if (!there) return there.error();
        const double moved = there->placing ? there->placing->moved : 0;
        there->pointing.standard = std::hypot(there->pointing.standard, moved);
        return there->pointing;
    }

    void air(course::PlaneId id, const meet::Pointed& one, const FoundCamera& camera) {
        const auto plane = plane_for(book_, id, camera);
        const auto measured =
            sight::in_the_air(camera.camera, pointing_at(one, camera), *plane, space_about(book_, id));
        if (!measured) return out_.troubles.push_back(measured.error());
        finish(add(id, MeasuredHow::in_the_air, {one}, *measured), {&camera});
    }

    Measured& add(course::PlaneId plane, MeasuredHow how, std::vector<meet::Pointed> pointed,
                  const sight::Distance& distance) {
        Measured made;
        made.mark = mark_.id;
        made.how = how;
        made.plane = book_.planes[static_cast<std::size_t>(plane.value)].key;
        made.pointed = std::move(pointed);
        made.distance = distance;
        out_.found.push_back(std::move(made));
        return out_.found.back();
    }

    void finish(Measured& made, const std::vector<const FoundCamera*>& cameras) {
        const course::PlaneId id = book_.find_plane(made.plane);
        made.says = distance_words(made.distance, book_.planes[static_cast<std::size_t>(id.value)].name);
        made.rests_on = rests_on(made, cameras);
    }

    /// "camera A, f 120, found from 8 places, seen within 0.6 px".
    [[nodiscard]] Sentence camera_words(const meet::Pointed& one, const FoundCamera& camera) const {
        const auto clip = state_.clips().find(camera.clip);
        return worded("{}, f {}, found from {} places, seen within {} px",
                      clip == state_.clips().end() ? std::string() : clip->second.name, one.frame.number,
                      camera.spots.size(), fmt::format("{:.1f}", camera.camera.rms));
    }

    [[nodiscard]] Sentence rests_on(const Measured& made,
                                    const std::vector<const FoundCamera*>& cameras) const {
        Sentence by = camera_words(made.pointed.front(), *cameras.front());
        if (cameras.size() > 1)
            by = worded("{}; and {}", by, camera_words(made.pointed.back(), *cameras.back()));
        const std::string pointing = length_words(made.distance.by_pointing);
        const std::string standing = length_words(made.distance.by_standing);
        const std::string tape = length_words(kSupposedTape);
        if (cameras.front()->supposed_tape)
            return worded(
                "Measured in {}. The plan does not say how well it was taped; {} is supposed. Standard "
                "uncertainty: {} of pointing, {} of cameras and tape.",
                by, tape, pointing, standing);
        return worded("Measured in {}. Standard uncertainty: {} of pointing, {} of cameras and tape.", by,
                      pointing, standing);
    }

    const meet::State& state_;
    const meet::Mark& mark_;
    const course::CourseBook& book_;
    const CameraAt& camera_at_;
    const std::vector<meet::Pointed> pointed_;
    MarkMeasures out_;
};

}  // namespace

std::vector<meet::Pointed> pointed_of(const meet::Mark& mark) {
    if (!mark.pointed.empty()) {
        std::vector<meet::Pointed> by_hand = mark.pointed;
        std::erase_if(by_hand, [](const meet::Pointed& one) { return one.followed.has_value(); });
        return by_hand;
    }
    if (!mark.spot || mark.sightings.empty() || !mark.sightings.front().late) return {};
    return {{mark.sightings.front().clip, *mark.sightings.front().late, *mark.spot}};
}

MarkMeasures measures_of(const meet::State& state, const meet::Mark& mark, const course::CourseBook& book,
                         const CameraAt& camera_at) {
    return Work(state, mark, book, camera_at).done();
}

std::optional<sight::UprightPlane> plane_for(const course::CourseBook& book, course::PlaneId plane,
                                             const FoundCamera& camera) {
    const course::PlanePlan* plan = book.plan.find(plane);
    if (plan == nullptr) return std::nullopt;
    const double tolerance = plan->tolerance.value_or(book.plan.tolerance.value_or(kSupposedTape));
    return sight::UprightPlane{{end_for(plan->from, tolerance, camera), end_for(plan->to, tolerance, camera)},
                               across(plan->from, plan->to, plan->past) > 0};
}

sight::Level level_for(const course::CourseBook& book, const course::SurfacePlan& plan,
                       const FoundCamera& camera) {
    sight::Level level{plan.top, plan.tolerance.value_or(book.plan.tolerance.value_or(kSupposedTape)), {}};
    const std::string& key = book.surfaces[static_cast<std::size_t>(plan.surface.value)].key;
    for (std::size_t i = 0; i < camera.spots.size(); ++i)
        if (camera.spots[i].place.kind == meet::DrawingKind::surface && camera.spots[i].place.key == key)
            level.places.push_back(i);
    return level;
}

sight::Space space_about(const course::CourseBook& book, course::PlaneId plane) {
    sight::Space space;
    for (const course::SurfacePlan& surface : book.plan.surfaces) {
        if (!surface.outline.empty()) {
            space.lowest = std::min(space.lowest, surface.top);
            space.highest = std::max(space.highest, surface.top);
        }
    }
    space.highest += kAboveSurfaces;
    double length = 0;
    if (const course::PlanePlan* plan = book.plan.find(plane))
        length = std::hypot(plan->to[0] - plan->from[0], plan->to[1] - plan->from[1]);
    space.along_from = -kBesidePlane;
    space.along_to = length + kBesidePlane;
    return space;
}

std::string length_words(double metres) {
    const double mm = std::abs(metres) * 1000;
    if (mm < 9.95) return fmt::format("{:.1f} mm", mm);
    if (mm < 999.5) return fmt::format("{:.0f} mm", mm);
    return fmt::format("{:.2f} m", mm / 1000);
}

Sentence distance_words(const sight::Distance& distance, const std::string& plane) {
    const Sentence low = signed_words(distance.likely.low), high = signed_words(distance.likely.high);
    const double middle = (distance.best.low + distance.best.high) / 2;
    const bool one_value = distance.best.high - distance.best.low < 0.001;
    switch (distance.side) {
        case sight::Side::past:
            if (!one_value)
                return worded("past {}, wherever along the sight: 95 % between {} and {}", plane, low, high);
            return worded("{} past {}, 95 % between {} and {}", length_words(middle), plane, low, high);
        case sight::Side::before:
            if (!one_value)
                return worded("before {}, wherever along the sight: 95 % between {} and {}", plane, low,
                              high);
            return worded("{} before {}, 95 % between {} and {}", length_words(middle), plane, low, high);
        case sight::Side::on:
            return worded("on {}, 95 % between {} and {}", plane, low, high);
        case sight::Side::cannot_tell:
            break;
    }
    return worded("can't tell on which side of {}: 95 % between {} and {}", plane, low, high);
}

}  // namespace plumbmark::review
