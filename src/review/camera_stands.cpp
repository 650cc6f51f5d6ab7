#include "review/camera_stands.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/worded.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

base::Sentence spot_name(const std::string& surface, const course::SurfacePlan& plan, int corner) {
    if (!plan.outline.empty()) return worded("{}, corner {}", surface, corner + 1);
    if (plan.line.size() != 2) return worded("{}, point {}", surface, corner + 1);
    const auto &one = plan.line.front(), &other = plan.line.back();
    const bool first = corner == 0;
    // Of a rope people know the upper and the lower end.
    if (std::abs(one[2] - other[2]) > std::hypot(one[0] - other[0], one[1] - other[1]))
        return (one[2] > other[2]) == first ? worded("{}, upper end", surface)
                                            : worded("{}, lower end", surface);
    return first ? worded("{}, first end", surface) : worded("{}, second end", surface);
}

/// The plan's places that a stand names, each once, and where each stands among them.
class Named {
  public:
    explicit Named(const course::CourseBook& book) : all_(plan_spots(book)) {}

    std::optional<std::size_t> index(const meet::PlanPlace& place) {
        const auto have = std::find_if(spots_.begin(), spots_.end(),
                                       [&](const PlanSpot& one) { return one.place == place; });
        if (have != spots_.end()) return static_cast<std::size_t>(have - spots_.begin());
        const auto found =
            std::find_if(all_.begin(), all_.end(), [&](const PlanSpot& one) { return one.place == place; });
        if (found == all_.end()) return std::nullopt;
        spots_.push_back(*found);
        return spots_.size() - 1;
    }
    [[nodiscard]] const std::vector<PlanSpot>& spots() const { return spots_; }

  private:
    std::vector<PlanSpot> all_;
    std::vector<PlanSpot> spots_;
};

Error no_such_place(const meet::PlanPlace& place) {
    return {Category::bad_input,
            worded("The course book's plan has no corner {} of '{}' any more, which was pointed at. Point at "
                   "the places anew, or give the book its plan back.",
                   place.corner + 1, place.key),
            {}};
}

sight::LensKnowledge knowledge_of(meet::LensKnown known) {
    switch (known) {
        case meet::LensKnown::measured:
            return sight::LensKnowledge::measured;
        case meet::LensKnown::focal_length:
            return sight::LensKnowledge::focal_length;
        case meet::LensKnown::focal_and_radial:
            return sight::LensKnowledge::focal_and_radial;
    }
    return sight::LensKnowledge::focal_length;
}

}  // namespace

std::vector<PlanSpot> plan_spots(const course::CourseBook& book) {
    std::vector<PlanSpot> spots;
    for (const course::SurfacePlan& plan : book.plan.surfaces) {
        const course::Surface& surface = book.surfaces[static_cast<std::size_t>(plan.surface.value)];
        const double tolerance = plan.tolerance.value_or(book.plan.tolerance.value_or(kSupposedTape));
        int corner = 0;
        const auto add = [&](sight::Vec3 at) {
            PlanSpot spot;
            spot.place = {meet::DrawingKind::surface, surface.key, corner};
            spot.name = spot_name(surface.name, plan, corner);
            spot.at = at;
            spot.tolerance = tolerance;
            spots.push_back(std::move(spot));
            ++corner;
        };
        for (const course::PlanPoint& at : plan.outline)
            add({at[0], at[1], plan.top});
        for (const course::SpacePoint& at : plan.line)
            add({at[0], at[1], at[2]});
    }
    return spots;
}

bool tape_is_supposed(const course::CourseBook& book) {
    if (book.plan.tolerance) return false;
    return std::any_of(book.plan.surfaces.begin(), book.plan.surfaces.end(),
                       [](const course::SurfacePlan& plan) { return !plan.tolerance; });
}

PictureForm form_of(const media::ClipInfo& info) {
    PictureForm form{info.upright_width(), info.upright_height(), 1, info.quarter_turns};
    const base::Rational aspect = info.pixel_aspect;
    if (aspect.num > 0 && aspect.den > 0) {
        const double stored = static_cast<double>(aspect.num) / static_cast<double>(aspect.den);
        form.aspect = info.quarter_turns % 2 == 0 ? stored : 1 / stored;
    }
    return form;
}

double row_share(const PictureForm& form, const std::array<double, 2>& at) {
    // Mirrored or not, a row stays a row.
    const double x = at[0] / std::max(1, form.width), y = at[1] / std::max(1, form.height);
    switch (form.quarter_turns & 3) {
        case 1:
            return 1 - x;
        case 2:
            return 1 - y;
        case 3:
            return x;
        default:
            return y;
    }
}

Result<FoundCamera> found_camera(const meet::CameraStand& stand, const course::CourseBook& book,
                                 const meet::CameraLens* lens, const PictureForm& form,
                                 const std::stop_token& stop) {
    FoundCamera found{stand.clip, stand.still, form, {}, {}, tape_is_supposed(book)};
    Named named(book);
    sight::Sightings sightings;
    sightings.width = static_cast<int>(std::lround(form.width * form.aspect));
    sightings.height = form.height;
    sightings.knowledge = knowledge_of(stand.knowledge);
    if (lens != nullptr) {
        const auto fitting = sight::rescaled(geometry_of(*lens), sightings.width, sightings.height);
        if (!fitting)
            return Error{Category::bad_input,
                         worded("The lens '{}' was measured in pictures of {} x {}; this clip's have another "
                                "shape, {} x {}. Take another lens, or let the focal length be found.",
                                lens->camera, lens->width, lens->height, sightings.width, sightings.height),
                         {}};
        sightings.lens = *fitting;
        sightings.lens_standard = standard_of(*lens);
        sightings.lens_standard.principal *= static_cast<double>(sightings.width) / lens->width;
    }
    for (const meet::StandPoint& point : stand.points) {
        const auto place = named.index(point.place);
        if (!place) return no_such_place(point.place);
        sightings.points.push_back({*place, found.to_camera(point.at), point.standard});
    }
    for (const meet::StandEdge& edge : stand.edges) {
        const auto from = named.index(edge.from), to = named.index(edge.to);
        if (!from || !to) return no_such_place(from ? edge.to : edge.from);
        sight::SeenEdge seen{*from, *to, {}, edge.standard};
        for (const auto& at : edge.at)
            seen.at.push_back(found.to_camera(at));
        sightings.edges.push_back(std::move(seen));
    }
    found.spots = named.spots();
    for (const PlanSpot& spot : found.spots)
        sightings.places.push_back({spot.name.english(), spot.at, spot.tolerance});
    auto camera = sight::calibrate(sightings, stop);
    if (!camera) return camera.error();
    found.camera = std::move(*camera);
    return found;
}

const meet::CameraStand* nearest_stand(const meet::State& state, meet::ClipId clip, std::int64_t frame) {
    const meet::CameraStand* best = nullptr;
    const auto far = [&](const meet::CameraStand& stand) { return std::abs(stand.still.number - frame); };
    for (const auto& [id, stand] : state.stands())
        if (stand.clip == clip && (best == nullptr || far(stand) < far(*best))) best = &stand;
    return best;
}

const meet::CameraLens* lens_of(const meet::State& state, const meet::CameraStand& stand) {
    const auto lens = state.lenses().find(stand.lens);
    return lens == state.lenses().end() ? nullptr : &lens->second;
}

meet::Change kept_stand(const meet::State& state, meet::CameraStand stand,
                        const std::optional<meet::CameraLens>& lens) {
    meet::Change change;
    change.label = "where the camera of " + state.clips().at(stand.clip).name + " stands";
    if (lens) {
        meet::CameraLens kept = *lens;
        if (!kept.id.valid()) {
            kept.id = {state.next_id(meet::Kind::lens)};
            change.edits.push_back({std::nullopt, kept});
        }
        stand.lens = kept.id;
    }
    std::optional<meet::Entity> before;
    for (const auto& [id, old] : state.stands())
        if (old.clip == stand.clip && old.still == stand.still) before = old;
    stand.id =
        before ? std::get<meet::CameraStand>(*before).id : meet::StandId{state.next_id(meet::Kind::stand)};
    change.edits.push_back({before, stand});
    return change;
}

meet::Change without_stand(const meet::CameraStand& stand) {
    return {"take away where a camera stands", {{stand, std::nullopt}}, 0};
}

sight::Lens geometry_of(const meet::CameraLens& lens) {
    return {lens.width, lens.height, lens.fx, lens.fy, lens.cx, lens.cy,
            lens.skew,  lens.k1,     lens.k2, lens.p1, lens.p2, lens.k3};
}

sight::LensStandard standard_of(const meet::CameraLens& lens) {
    return {lens.focal_standard, lens.principal_standard, lens.k1_standard};
}

}  // namespace plumbmark::review
