#include <algorithm>
#include <set>

#include "course/internal/checks.h"

namespace plumbmark::course::internal {

std::string surface_words(const CourseBook& book, SurfaceId id) {
    return "'" + book.surface_name(id) + "'";
}

std::string station_words(const Station& station) {
    return "station '" + station.name + "'";
}

bool contains(const std::vector<SurfaceId>& surfaces, SurfaceId id) {
    return std::find(surfaces.begin(), surfaces.end(), id) != surfaces.end();
}

namespace {

template <class Thing>
void report_equal_names(const std::vector<Thing>& things, std::string_view kind, Report& report) {
    for (std::size_t i = 0; i < things.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            if (things[i].name != things[j].name) continue;
            report.add(things[i].place,
                       "'" + things[j].key + "' and '" + things[i].key + "' are both called '" +
                           things[i].name + "', so a ruling's sentences cannot tell these " +
                           std::string(kind) + " apart.",
                       "Give one of them another name.");
            break;
        }
    }
}

void equal_names(const CourseBook& book, Report& report) {
    report_equal_names(book.surfaces, "surfaces", report);
    report_equal_names(book.planes, "planes", report);
    report_equal_names(book.stations, "stations", report);
}

std::set<SurfaceId> used_surfaces(const Station& station) {
    std::set<SurfaceId> used(station.start.begin(), station.start.end());
    used.insert(station.landing.surfaces.begin(), station.landing.surfaces.end());
    for (const Item& item : station.in_play)
        used.insert(item.surface);
    for (const Checkpoint& checkpoint : station.checkpoints) {
        if (checkpoint.touched) used.insert(*checkpoint.touched);
    }
    return used;
}

// The stations of the course and those that its divisions have of their own.
std::vector<const Station*> every_station(const CourseBook& book) {
    std::vector<const Station*> stations;
    for (const Station& station : book.stations)
        stations.push_back(&station);
    for (const Division& division : book.divisions) {
        for (const Station& station : division.stations)
            stations.push_back(&station);
    }
    return stations;
}

bool has_faces(const CourseBook& book, SurfaceId id) {
    return std::any_of(book.surfaces.begin(), book.surfaces.end(),
                       [&](const Surface& surface) { return surface.parent == id; });
}

void surface_unused(const CourseBook& book, Report& report) {
    std::set<SurfaceId> used;
    for (const Station* station : every_station(book))
        used.merge(used_surfaces(*station));
    if (book.finish.surface) used.insert(*book.finish.surface);
    for (std::size_t i = 0; i < book.surfaces.size(); ++i) {
        const SurfaceId id{static_cast<std::int64_t>(i)};
        const Surface& surface = book.surfaces[i];
        if (surface.out_of_play || used.count(id) > 0 || has_faces(book, id)) continue;
        report.add(
            surface.place,
            "'" + surface.key + "' is declared, but no station uses it, so every touch of it is out of play.",
            "Use it, or write out_of_play = true where it is declared.");
    }
}

void out_of_play_used(const CourseBook& book, Report& report) {
    for (const Station* station : every_station(book)) {
        for (SurfaceId id : used_surfaces(*station)) {
            if (!book.surface(id).out_of_play && !has_faces(book, id)) continue;
            report.add(station->place,
                       station_words(*station) + " uses " + surface_words(book, id) +
                           (has_faces(book, id) ? ", which has faces, without saying which one."
                                                : ", which is declared out of play."),
                       has_faces(book, id)
                           ? "Name the face."
                           : "Take out_of_play away, or take the surface out of the station.");
        }
    }
}

void plane_unused(const CourseBook& book, Report& report) {
    std::set<PlaneId> used;
    for (const Station* station : every_station(book)) {
        if (station->start_plane) used.insert(*station->start_plane);
        for (const PlaneCondition& condition : station->landing.planes)
            used.insert(condition.plane);
        for (const Checkpoint& checkpoint : station->checkpoints) {
            if (checkpoint.crossed) used.insert(*checkpoint.crossed);
        }
    }
    for (std::size_t i = 0; i < book.planes.size(); ++i) {
        if (used.count(PlaneId{static_cast<std::int64_t>(i)}) > 0) continue;
        report.add(book.planes[i].place,
                   "Plane '" + book.planes[i].key + "' is declared, but no station uses it.",
                   "Use it in a start, a landing or a checkpoint, or take it away.");
    }
}

constexpr Rule kRules[] = {
    {"equal-names", Severity::warning, "Two surfaces, planes or stations with the same name.", equal_names},
    {"surface-unused", Severity::warning,
     "A surface that no station uses and that is not declared out of play.", surface_unused},
    {"out-of-play-used", Severity::error,
     "A station that uses a surface declared out of play or one that has faces.", out_of_play_used},
    {"plane-unused", Severity::warning, "A plane that no station uses.", plane_unused},
};

}  // namespace

std::span<const Rule> naming_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
