#include "course/book.h"

#include <algorithm>

#include "base/check.h"
#include "course/internal/names.h"

namespace plumbmark::course {
namespace {

template <class IdType, class Thing>
IdType find_by_key(const std::vector<Thing>& things, std::string_view key) {
    for (std::size_t i = 0; i < things.size(); ++i) {
        if (things[i].key == key) return IdType{static_cast<std::int64_t>(i)};
    }
    return IdType{};
}

template <class IdType, class Thing>
const Thing& at(const std::vector<Thing>& things, IdType id) {
    PLUMBMARK_CHECK(id.valid() && static_cast<std::size_t>(id.value) < things.size());
    return things[static_cast<std::size_t>(id.value)];
}

void forget_places(Station& station) {
    station.place = {};
    station.landing.place = {};
    for (Item& item : station.in_play)
        item.place = {};
    for (ItemRow& row : station.rows)
        row.place = {};
    for (PlaneCondition& condition : station.landing.planes)
        condition.place = {};
    for (Checkpoint& checkpoint : station.checkpoints)
        checkpoint.place = {};
}

}  // namespace

CourseBook::CourseBook() = default;
CourseBook::CourseBook(const CourseBook& other) = default;
CourseBook::CourseBook(CourseBook&& other) noexcept = default;
CourseBook& CourseBook::operator=(const CourseBook& other) = default;
CourseBook& CourseBook::operator=(CourseBook&& other) noexcept = default;
CourseBook::~CourseBook() = default;

bool operator==(const CourseBook& a, const CourseBook& b) = default;

SurfaceId CourseBook::find_surface(std::string_view key) const {
    return find_by_key<SurfaceId>(surfaces, key);
}

PlaneId CourseBook::find_plane(std::string_view key) const {
    return find_by_key<PlaneId>(planes, key);
}

StationId CourseBook::find_station(std::string_view key) const {
    return find_by_key<StationId>(stations, key);
}

const Surface& CourseBook::surface(SurfaceId id) const {
    return at(surfaces, id);
}

const Plane& CourseBook::plane(PlaneId id) const {
    return at(planes, id);
}

const Station& CourseBook::station(StationId id) const {
    return at(stations, id);
}

const std::string& CourseBook::surface_name(SurfaceId id) const {
    return surface(id).name;
}

std::set<SurfaceId> surfaces_named(const Station& station) {
    std::set<SurfaceId> named(station.start.begin(), station.start.end());
    named.insert(station.landing.surfaces.begin(), station.landing.surfaces.end());
    for (const Item& item : station.in_play)
        named.insert(item.surface);
    for (const Checkpoint& checkpoint : station.checkpoints) {
        if (checkpoint.touched) named.insert(*checkpoint.touched);
    }
    return named;
}

std::set<SurfaceId> surfaces_named(const CourseBook& book) {
    std::set<SurfaceId> named;
    for (const Station& station : book.stations)
        named.merge(surfaces_named(station));
    if (book.finish.surface) named.insert(*book.finish.surface);
    return named;
}

base::Result<CourseBook> division_book(const CourseBook& book, std::string_view division_key) {
    const auto found = internal::named(book.divisions, base::worded("division"), division_key);
    if (!found) return found.error();
    const Division& division = **found;
    CourseBook result = book;
    result.divisions.clear();
    result.stations.clear();
    if (division.run_cap) result.run_cap = division.run_cap;
    for (std::size_t i = 0; i < book.stations.size(); ++i) {
        const StationId id{static_cast<std::int64_t>(i)};
        const auto& out = division.left_out;
        if (std::find(out.begin(), out.end(), id) != out.end()) continue;
        const StationId own = find_by_key<StationId>(division.stations, book.stations[i].key);
        result.stations.push_back(own.valid() ? at(division.stations, own) : book.stations[i]);
    }
    return result;
}

base::Result<CourseBook> run_book(const CourseBook& book, std::string_view division_key,
                                  std::string_view lane_key) {
    base::Result<CourseBook> own = division_key.empty() ? book : division_book(book, division_key);
    if (!own || lane_key.empty()) return own;
    return lane_book(*own, lane_key);
}

CourseBook without_places(CourseBook book) {
    for (Surface& surface : book.surfaces)
        surface.place = {};
    for (Plane& plane : book.planes)
        plane.place = {};
    for (Station& station : book.stations)
        forget_places(station);
    for (Division& division : book.divisions) {
        division.place = {};
        for (Station& station : division.stations)
            forget_places(station);
    }
    for (Lane& lane : book.lanes)
        lane.place = {};
    book.finish.place = {};
    for (SurfacePlan& its : book.plan.surfaces)
        its.place = {};
    for (PlanePlan& its : book.plan.planes)
        its.place = {};
    return book;
}

}  // namespace plumbmark::course
