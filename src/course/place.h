// What the things of a course book are told apart by, and where they were written.
#pragma once

#include <cstdint>

#include "base/ids.h"

namespace plumbmark::course {

/// Index into CourseBook::surfaces. A surface that has faces contributes one entry for each face; the entry
/// of the surface itself then stands for 'any face that was not declared', which is out of play everywhere.
using SurfaceId = base::Id<struct SurfaceTag>;
/// Index into CourseBook::planes.
using PlaneId = base::Id<struct PlaneTag>;
/// Index into CourseBook::stations.
using StationId = base::Id<struct StationTag>;

/// Where something stands in the file, for messages; line 0 means 'not from a file'. Both count from 1.
struct Place {
    std::int32_t line = 0;
    std::int32_t column = 0;
    friend bool operator==(const Place&, const Place&) = default;
};

}  // namespace plumbmark::course
