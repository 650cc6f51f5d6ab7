// The course as it is run in one lane.
#include <algorithm>

#include "course/book.h"
#include "course/internal/names.h"

namespace plumbmark::course {
namespace {

template <class IdType>
IdType here(const std::vector<InPlaceOf<IdType>>& replaced, IdType usual) {
    const auto found = std::find_if(replaced.begin(), replaced.end(),
                                    [&](const InPlaceOf<IdType>& one) { return one.usual == usual; });
    return found == replaced.end() ? usual : found->here;
}

class LaneMaker {
  public:
    explicit LaneMaker(const Lane& lane) : lane_(lane) {}

    void change(std::optional<SurfaceId>& surface) const {
        if (surface) surface = here(lane_.surfaces, *surface);
    }

    void change(Station& station) const {
        change(station.start);
        change(station.start_plane);
        for (Item& item : station.in_play) {
            item.surface = here(lane_.surfaces, item.surface);
            change(item.after);
        }
        for (ItemRow& row : station.rows)
            change(row.members);
        change(station.landing.surfaces);
        for (PlaneCondition& condition : station.landing.planes)
            condition.plane = here(lane_.planes, condition.plane);
        for (Checkpoint& checkpoint : station.checkpoints) {
            change(checkpoint.touched);
            change(checkpoint.crossed);
        }
    }

  private:
    void change(std::optional<PlaneId>& plane) const {
        if (plane) plane = here(lane_.planes, *plane);
    }

    // Each surface once, where it stood first.
    void change(std::vector<SurfaceId>& surfaces) const {
        std::vector<SurfaceId> changed;
        for (SurfaceId id : surfaces) {
            const SurfaceId now = here(lane_.surfaces, id);
            if (std::find(changed.begin(), changed.end(), now) == changed.end()) changed.push_back(now);
        }
        surfaces = std::move(changed);
    }

    const Lane& lane_;
};

}  // namespace

base::Result<CourseBook> lane_book(const CourseBook& book, std::string_view lane_key) {
    const auto found = internal::named(book.lanes, base::worded("lane"), lane_key);
    if (!found) return found.error();
    const LaneMaker maker(**found);
    CourseBook result = book;
    result.lanes.clear();
    for (Station& station : result.stations)
        maker.change(station);
    for (Division& division : result.divisions) {
        for (Station& station : division.stations)
            maker.change(station);
    }
    Finish& finish = result.finish;
    // A signal that is called like its surface is called like that of the lane.
    const bool by_surface = finish.surface && finish.name == book.surface_name(*finish.surface);
    maker.change(finish.surface);
    if (by_surface) finish.name = book.surface_name(*finish.surface);
    return result;
}

}  // namespace plumbmark::course
