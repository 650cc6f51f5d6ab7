#include "course/internal/reach.h"

#include <algorithm>

namespace plumbmark::course::internal {
namespace {

bool skips_too_many(const ItemRow& row, SurfaceId surface, const std::set<SurfaceId>& touched) {
    const auto member = std::find(row.members.begin(), row.members.end(), surface);
    if (member == row.members.end()) return false;
    const auto skipped = std::count_if(row.members.begin(), member,
                                       [&](SurfaceId before) { return touched.count(before) == 0; });
    return skipped > row.max_skipped;
}

}  // namespace

PartSet parts_that_count(const CourseBook& book, const Item& item) {
    PartSet parts = item.parts;
    if (!book.loose_counts) parts.remove(Part::loose);
    return parts;
}

const Item* item_on(const Station& station, SurfaceId surface) {
    const auto found = std::find_if(station.in_play.begin(), station.in_play.end(),
                                    [&](const Item& item) { return item.surface == surface; });
    return found == station.in_play.end() ? nullptr : &*found;
}

bool can_follow(const CourseBook& book, const Station& station, const Item& item,
                const std::set<SurfaceId>& touched) {
    if (parts_that_count(book, item).empty()) return false;
    if (item.after && touched.count(*item.after) == 0) return false;
    return std::none_of(station.rows.begin(), station.rows.end(),
                        [&](const ItemRow& row) { return skips_too_many(row, item.surface, touched); });
}

std::set<SurfaceId> reachable_items(const CourseBook& book, const Station& station,
                                    const std::set<SurfaceId>& untouched) {
    std::set<SurfaceId> touched;
    for (bool grew = true; grew;) {
        grew = false;
        for (const Item& item : station.in_play) {
            if (untouched.count(item.surface) > 0 || touched.count(item.surface) > 0) continue;
            if (!can_follow(book, station, item, touched)) continue;
            touched.insert(item.surface);
            grew = true;
        }
    }
    return touched;
}

bool needs_touches(const Station& station) {
    return std::any_of(station.in_play.begin(), station.in_play.end(),
                       [](const Item& item) { return item.required; }) ||
           std::any_of(station.rows.begin(), station.rows.end(), [](const ItemRow& row) {
               return static_cast<std::size_t>(row.max_skipped) < row.members.size();
           });
}

}  // namespace plumbmark::course::internal
