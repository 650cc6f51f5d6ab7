#include "course/plan.h"

#include <algorithm>

namespace plumbmark::course {
namespace {

template <class List, class Wanted>
auto* place_in(const List& list, const Wanted& wanted) {
    const auto found = std::find_if(list.begin(), list.end(), wanted);
    return found == list.end() ? nullptr : &*found;
}

}  // namespace

const SurfacePlan* Plan::find(SurfaceId surface) const {
    return place_in(surfaces, [surface](const SurfacePlan& one) { return one.surface == surface; });
}

const PlanePlan* Plan::find(PlaneId plane) const {
    return place_in(planes, [plane](const PlanePlan& one) { return one.plane == plane; });
}

}  // namespace plumbmark::course
