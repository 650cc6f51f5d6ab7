// What a station's drawing shows.
#include <algorithm>

#include "report/internal/briefing_words.h"

namespace plumbmark::report {
namespace {

using course::CourseBook;
using course::PlaneId;
using course::SurfaceId;

/// Things with what they are on the station, each once, in the order in which they are met.
template <class IdType>
using Roles = std::vector<std::pair<IdType, std::vector<std::string>>>;

template <class IdType>
void add(Roles<IdType>& roles, IdType id, const std::string& role) {
    auto known = std::find_if(roles.begin(), roles.end(), [id](const auto& one) { return one.first == id; });
    if (known == roles.end()) known = roles.insert(roles.end(), {id, {}});
    auto& its = known->second;
    if (std::find(its.begin(), its.end(), role) == its.end()) its.push_back(role);
}

Roles<SurfaceId> surfaces_of(const CourseBook& book, std::size_t number) {
    const course::Station& station = book.stations[number];
    Roles<SurfaceId> roles;
    for (const SurfaceId id : station.start)
        add(roles, id, "start");
    for (const course::Item& item : station.in_play)
        add(roles, item.surface, "in play");
    for (const SurfaceId id : station.landing.surfaces)
        add(roles, id, "landing");
    for (const course::Checkpoint& checkpoint : station.checkpoints)
        if (checkpoint.touched) add(roles, *checkpoint.touched, "checkpoint");
    if (number + 1 == book.stations.size() && book.finish.surface) add(roles, *book.finish.surface, "finish");
    return roles;
}

Roles<PlaneId> planes_of(const course::Station& station) {
    Roles<PlaneId> roles;
    if (station.start_plane) add(roles, *station.start_plane, "to stay behind at the start");
    for (const course::PlaneCondition& condition : station.landing.planes)
        add(roles, condition.plane, "to be passed");
    for (const course::Checkpoint& checkpoint : station.checkpoints)
        if (checkpoint.crossed) add(roles, *checkpoint.crossed, "checkpoint");
    return roles;
}

BriefingPlace place_of(const course::SurfacePlan& plan, const std::string& name,
                       const std::vector<std::string>& roles) {
    BriefingPlace place{BriefingPlace::Form::area, name, roles, plan.outline, {}};
    if (!plan.outline.empty()) return place;
    place.form = BriefingPlace::Form::line;
    for (const course::SpacePoint& point : plan.line) {
        const course::PlanPoint above{point[0], point[1]};
        if (place.points.empty() || place.points.back() != above) place.points.push_back(above);
    }
    return place;
}

}  // namespace

BriefingPlan station_plan(const CourseBook& book, std::size_t number) {
    BriefingPlan result;
    for (const auto& [id, roles] : surfaces_of(book, number)) {
        if (const course::SurfacePlan* plan = book.plan.find(id))
            result.places.push_back(place_of(*plan, book.surface_name(id), roles));
        else
            result.missing.push_back(book.surface_name(id));
    }
    for (const auto& [id, roles] : planes_of(book.stations[number])) {
        const std::string& name = book.plane(id).name;
        if (const course::PlanePlan* plan = book.plan.find(id))
            result.places.push_back(
                {BriefingPlace::Form::plane, name, roles, {plan->from, plan->to}, plan->past});
        else
            result.missing.push_back(name);
    }
    if (result.places.empty()) result.missing.clear();
    return result;
}

}  // namespace plumbmark::report
