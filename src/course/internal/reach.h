// Which items of a station can be touched in order: by a part that counts, after the one they come after, and
// with no more of their rows skipped than may be (docs/rulings.md, 'Completion').
#pragma once

#include <set>

#include "course/book.h"

namespace plumbmark::course::internal {

/// The parts that may touch the item and are seen at all: where loose contact does not count, hair, clothing
/// and gear do nothing.
[[nodiscard]] PartSet parts_that_count(const CourseBook& book, const Item& item);

/// The item on this surface, or null.
[[nodiscard]] const Item* item_on(const Station& station, SurfaceId surface);

/// Every item that some order of touches uses without failing, when the surfaces of 'untouched' are not
/// touched before it. What is touched never takes anything away, so taking all that can be taken is best.
[[nodiscard]] std::set<SurfaceId> reachable_items(const CourseBook& book, const Station& station,
                                                  const std::set<SurfaceId>& untouched = {});

/// Whether this item can be the next, once those of 'touched' were touched.
[[nodiscard]] bool can_follow(const CourseBook& book, const Station& station, const Item& item,
                              const std::set<SurfaceId>& touched);

/// Whether some item must be touched before the station can be completed: one that is required, or a row's.
[[nodiscard]] bool needs_touches(const Station& station);

}  // namespace plumbmark::course::internal
