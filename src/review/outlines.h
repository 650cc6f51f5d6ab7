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

/// The surfaces and planes that are drawn on this clip, in pixels of its upright picture, by id. Pure.
[[nodiscard]] std::vector<report::StillOutline> outlines_on(const meet::State& state, meet::ClipId clip,
                                                            const course::CourseBook* book);

}  // namespace plumbmark::review
