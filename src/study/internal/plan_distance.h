// How far two things of a course plan are from each other, seen from above.
#pragma once

#include "course/plan.h"

namespace plumbmark::study::internal {

/// The least level distance between two surfaces of a plan: 0 where they overlap or touch. Metres.
[[nodiscard]] double level_distance(const course::SurfacePlan& one, const course::SurfacePlan& other);

/// The lowest and the highest point; of an outline its top, twice.
[[nodiscard]] double lowest(const course::SurfacePlan& plan);
[[nodiscard]] double highest(const course::SurfacePlan& plan);

}  // namespace plumbmark::study::internal
