// What was drawn on a clip, as pictures that leave the meet show it.
#pragma once

#include <string>
#include <vector>

#include "course/book.h"
#include "meet/changes.h"
#include "report/stills.h"

namespace plumbmark::review {

/// The book's name of a surface or plane; the key where it knows none, or where 'book' is null.
[[nodiscard]] std::string drawing_name(const meet::Drawing& drawing, const course::CourseBook* book);

/// These drawings, where they lie, in pixels of the upright picture. A clip's lie elsewhere in each of its
/// frames where the camera moved: internal/placed_drawings.h says where. Pure.
[[nodiscard]] std::vector<report::StillOutline> outlines_of(const std::vector<meet::Drawing>& drawings,
                                                            const course::CourseBook* book);

}  // namespace plumbmark::review
