#include <algorithm>
#include <set>

#include "base/text.h"
#include "course/internal/checks.h"
#include "course/limits.h"

namespace plumbmark::course::internal {
namespace {

void no_stations(const CourseBook& book, Report& report) {
    if (!book.stations.empty()) return;
    report.add({}, worded("The course has no station to run."),
               worded("Add a [[station]], or leave fewer stations out."));
}

Sentence any_of(const CourseBook& book, const std::vector<SurfaceId>& surfaces) {
    std::vector<Sentence> words;
    for (SurfaceId id : surfaces)
        words.push_back(surface_words(book, id));
    return base::listed_words(words, "or");
}

// Calls back for each station with a shared exit and another station after it.
template <class Callback>
void each_shared_exit(const CourseBook& book, Callback callback) {
    for (std::size_t i = 0; i + 1 < book.stations.size(); ++i) {
        const Station& next = book.stations[i + 1];
        // A next station without any start is told by itself.
        if (book.stations[i].exit == Exit::shared && !next.start.empty()) callback(book.stations[i], next);
    }
}

std::vector<SurfaceId> landings_without_start(const Station& station, const Station& next) {
    std::vector<SurfaceId> lost;
    for (SurfaceId id : station.landing.surfaces) {
        if (!contains(next.start, id)) lost.push_back(id);
    }
    return lost;
}

void landing_not_next_start(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        const std::vector<SurfaceId>& landings = station.landing.surfaces;
        if (landings_without_start(station, next).size() != landings.size()) return;
        report.add(
            station.landing.place,
            landings.empty()
                ? worded("{} has no landing surface and shares its exit, but {} starts from {}: nobody could "
                         "begin it.",
                         station_words(station), station_words(next), any_of(book, next.start))
                : worded("{} lands on {} and shares its exit, but {} starts from {}: nobody could begin it.",
                         station_words(station), any_of(book, landings), station_words(next),
                         any_of(book, next.start)),
            worded("Let the next station start from the landing, or write exit = \"free\"."));
    });
}

void landing_partly_next_start(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        const std::vector<SurfaceId> lost = landings_without_start(station, next);
        if (lost.empty() || lost.size() == station.landing.surfaces.size()) return;
        report.add(station.landing.place,
                   worded("An athlete may land on {}, but {} does not start from there.", any_of(book, lost),
                          station_words(next)),
                   worded("Add it to the start of the next station, or take it out of the landing."));
    });
}

void signal_after_first(const CourseBook& book, Report& report) {
    for (std::size_t i = 1; i < book.stations.size(); ++i) {
        const Station& station = book.stations[i];
        if (!station.start_plane || station.start_plane_until != BehindUntil::signal) continue;
        report.add(
            station.place,
            worded("{} asks to stay behind '{}' until the signal, but only the first station begins at one.",
                   station_words(station), book.plane(*station.start_plane).name),
            worded("Write until = \"set-off\"."));
    }
}

bool passes(const PlaneCondition& condition, std::optional<Part> part) {
    return !condition.part || condition.part == part;
}

bool asks_to_stay_behind(const Station& station, const PlaneCondition& passed) {
    if (station.start_plane != passed.plane || station.start_plane_until != BehindUntil::set_off)
        return false;
    return passed.part ? station.start_plane_parts.has(*passed.part) : !station.start_plane_parts.empty();
}

Sentence passer_words(const PlaneCondition& condition) {
    if (!condition.part) return worded("the whole athlete");
    switch (*condition.part) {
        case Part::left_hand:
            return worded("the left hand");
        case Part::right_hand:
            return worded("the right hand");
        case Part::left_foot:
            return worded("the left foot");
        case Part::right_foot:
            return worded("the right foot");
        case Part::other:
            return worded("another part of the body");
        case Part::loose:
            return worded("hair, clothing or gear");
    }
    return {};
}

void start_plane_passed(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        for (const PlaneCondition& passed : station.landing.planes) {
            if (!asks_to_stay_behind(next, passed)) continue;
            report.add(
                next.place,
                worded("{} is completed with {} past '{}', and at that moment {} begins, which asks to be "
                       "behind it until setting off: nobody can do both.",
                       station_words(station), passer_words(passed), book.plane(passed.plane).name,
                       station_words(next)),
                worded("Take the start plane away, name another plane, or write exit = \"free\" before it."));
        }
    });
}

void plane_passed_again(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        for (const PlaneCondition& passed : station.landing.planes) {
            const bool again = std::any_of(
                next.landing.planes.begin(), next.landing.planes.end(), [&](const PlaneCondition& needed) {
                    return needed.plane == passed.plane && passes(passed, needed.part);
                });
            if (!again || asks_to_stay_behind(next, passed)) continue;
            report.add(next.landing.place,
                       worded("{} begins with {} past '{}' and asks to pass it once more: the athlete would "
                              "have to go back over it first.",
                              station_words(next), passer_words(passed), book.plane(passed.plane).name),
                       worded("Name the plane that this station passes, or take it away."));
        }
    });
}

void finish_without_place(const CourseBook& book, Report& report) {
    if (!book.finish.required || !book.finish.name.empty()) return;
    report.add(book.finish.place, worded("A finish signal is required, but nothing says which."),
               worded("Give [finish] a 'name' or a 'surface'."));
}

void points_without_format(const CourseBook& book, Report& report) {
    if (book.format != Format::first_fail_ends) return;
    for (const Station& station : book.stations) {
        if (station.checkpoints.empty() && station.points == 1) continue;
        report.add(
            station.place,
            worded("{} gives points, but where the first fail ends the run nobody counts them.",
                   station_words(station)),
            worded("Write format = \"every station counts\", or take the points and checkpoints away."));
    }
}

void too_large(const CourseBook& book, Report& report) {
    const auto tell = [&](Place place, Sentence sentence) {
        report.add(place, std::move(sentence),
                   worded("Split the course book in two, each with its own runs."));
    };
    for (const Station& station : book.stations) {
        if (station.in_play.size() > kMostItems)
            tell(station.place, worded("The items in play on {} are {}; a run can be ruled with at most {}.",
                                       station_words(station), station.in_play.size(), kMostItems));
    }
    if (book.stations.size() > kMostStations)
        tell({}, worded("The stations of the course are {}; a run can be ruled with at most {}.",
                        book.stations.size(), kMostStations));
    if (const std::size_t named = surfaces_named(book).size(); named > kMostSurfacesNamed)
        tell({},
             worded("The surfaces that its stations and the finish name are {}; a run can be ruled with at "
                    "most {}.",
                    named, kMostSurfacesNamed));
    if (book.planes.size() > kMostPlanes)
        tell({}, worded("The planes of the course are {}; a run can be ruled with at most {}.",
                        book.planes.size(), kMostPlanes));
}

constexpr Rule kRules[] = {
    {"no-stations", Severity::error, "A course, or the course of a division, without any station.",
     no_stations},
    {"too-large", Severity::error,
     "More stations, items in play on a station, surfaces or planes than a run can be ruled with.",
     too_large},
    {"landing-not-next-start", Severity::error,
     "A shared exit whose landing the next station does not start from at all.", landing_not_next_start},
    {"landing-partly-next-start", Severity::warning,
     "A shared exit with a landing surface that the next station does not start from.",
     landing_partly_next_start},
    {"signal-after-first", Severity::error,
     "A start plane 'until the signal' on a station that does not begin at the signal.", signal_after_first},
    {"start-plane-passed", Severity::error,
     "A shared exit past a plane that the next station must be behind when it begins.", start_plane_passed},
    {"plane-passed-again", Severity::warning,
     "A shared exit past a plane that the next station asks to pass once more.", plane_passed_again},
    {"finish-without-place", Severity::error, "A required finish signal that has neither name nor surface.",
     finish_without_place},
    {"points-without-format", Severity::warning,
     "Points or checkpoints in a course where the first fail ends the run.", points_without_format},
};

}  // namespace

std::span<const Rule> course_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
