#include <algorithm>
#include <set>

#include "course/write.h"
#include "study/trials.h"

namespace plumbmark::study {
namespace {

using course::PlaneId;
using course::SurfaceId;

/// Takes over what a station names, with new ids in the order of the book.
class Extract {
  public:
    Extract(const course::CourseBook& book, const course::Station& station) : book_(book) {
        out_.name = "station";
        out_.revision = "1";
        out_.brush_counts = book.brush_counts;
        out_.loose_counts = book.loose_counts;
        out_.at_cap_is_in_time = book.at_cap_is_in_time;
        std::set<SurfaceId> named = course::surfaces_named(station);
        for (const course::Item& item : station.in_play) {
            if (item.after) named.insert(*item.after);
        }
        for (const course::ItemRow& row : station.rows)
            named.insert(row.members.begin(), row.members.end());
        take_surfaces(std::move(named));
        take_planes(planes_of(station));
        out_.stations.push_back(moved(station));
        take_plan();
    }
    [[nodiscard]] const course::CourseBook& book() const { return out_; }

  private:
    static std::set<PlaneId> planes_of(const course::Station& station) {
        std::set<PlaneId> named;
        if (station.start_plane) named.insert(*station.start_plane);
        for (const course::PlaneCondition& condition : station.landing.planes)
            named.insert(condition.plane);
        for (const course::Checkpoint& checkpoint : station.checkpoints) {
            if (checkpoint.crossed) named.insert(*checkpoint.crossed);
        }
        return named;
    }
    void take_surfaces(std::set<SurfaceId> named) {
        for (const SurfaceId id : std::set<SurfaceId>(named)) {
            if (book_.surface(id).parent.valid()) named.insert(book_.surface(id).parent);
        }
        surfaces_.assign(named.begin(), named.end());
        for (const SurfaceId id : surfaces_) {
            course::Surface surface = book_.surface(id);
            if (surface.parent.valid()) surface.parent = here(surface.parent);
            out_.surfaces.push_back(std::move(surface));
        }
    }
    void take_planes(const std::set<PlaneId>& named) {
        for (const PlaneId id : named) {
            planes_.push_back(id);
            out_.planes.push_back(book_.plane(id));
        }
    }
    void take_plan() {
        const auto least = [](const auto& own, const std::optional<double>& general) {
            return own ? own : general;
        };
        for (const SurfaceId id : surfaces_) {
            const course::SurfacePlan* plan = book_.plan.find(id);
            if (plan == nullptr) continue;
            out_.plan.surfaces.push_back(*plan);
            out_.plan.surfaces.back().surface = here(id);
            out_.plan.surfaces.back().tolerance = least(plan->tolerance, book_.plan.tolerance);
        }
        for (const PlaneId id : planes_) {
            const course::PlanePlan* plan = book_.plan.find(id);
            if (plan == nullptr) continue;
            out_.plan.planes.push_back(*plan);
            out_.plan.planes.back().plane = here(id);
            out_.plan.planes.back().tolerance = least(plan->tolerance, book_.plan.tolerance);
        }
    }

    template <class Id>
    static Id place_of(const std::vector<Id>& taken, Id id) {
        const auto found = std::find(taken.begin(), taken.end(), id);
        PLUMBMARK_CHECK(found != taken.end());
        return Id{found - taken.begin()};
    }
    [[nodiscard]] SurfaceId here(SurfaceId id) const { return place_of(surfaces_, id); }
    [[nodiscard]] PlaneId here(PlaneId id) const { return place_of(planes_, id); }
    template <class Id>
    void move(std::optional<Id>& id) const {
        if (id) id = here(*id);
    }
    void move(std::vector<SurfaceId>& ids) const {
        for (SurfaceId& id : ids)
            id = here(id);
    }
    [[nodiscard]] course::Station moved(course::Station station) const {
        move(station.start);
        move(station.start_plane);
        for (course::Item& item : station.in_play) {
            item.surface = here(item.surface);
            move(item.after);
        }
        for (course::ItemRow& row : station.rows)
            move(row.members);
        move(station.landing.surfaces);
        for (course::PlaneCondition& condition : station.landing.planes)
            condition.plane = here(condition.plane);
        for (course::Checkpoint& checkpoint : station.checkpoints) {
            move(checkpoint.touched);
            move(checkpoint.crossed);
        }
        return station;
    }

    const course::CourseBook& book_;
    course::CourseBook out_;
    std::vector<SurfaceId> surfaces_;
    std::vector<PlaneId> planes_;
};

}  // namespace

std::string definition_text(const course::CourseBook& book, course::StationId station) {
    return course::write_book(Extract(book, book.station(station)).book());
}

}  // namespace plumbmark::study
