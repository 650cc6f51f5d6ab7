#include <algorithm>
#include <set>

#include "base/text.h"
#include "course/internal/checks.h"
#include "course/limits.h"

namespace plumbmark::course::internal {
namespace {

void no_stations(const CourseBook& book, Report& report) {
    if (!book.stations.empty()) return;
    report.add({}, "The course has no station to run.", "Add a [[station]], or leave fewer stations out.");
}

std::vector<std::string> words_for(const CourseBook& book, const std::vector<SurfaceId>& surfaces) {
    std::vector<std::string> words;
    for (SurfaceId id : surfaces)
        words.push_back(surface_words(book, id));
    return words;
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
        const std::string where = landings.empty()
                                      ? "has no landing surface"
                                      : "lands on " + base::listed(words_for(book, landings), "or");
        report.add(station.landing.place,
                   station_words(station) + " " + where + " and shares its exit, but " + station_words(next) +
                       " starts from " + base::listed(words_for(book, next.start), "or") +
                       ": nobody could begin it.",
                   "Let the next station start from the landing, or write exit = \"free\".");
    });
}

void landing_partly_next_start(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        const std::vector<SurfaceId> lost = landings_without_start(station, next);
        if (lost.empty() || lost.size() == station.landing.surfaces.size()) return;
        report.add(station.landing.place,
                   "An athlete may land on " + base::listed(words_for(book, lost), "or") + ", but " +
                       station_words(next) + " does not start from there.",
                   "Add it to the start of the next station, or take it out of the landing.");
    });
}

void signal_after_first(const CourseBook& book, Report& report) {
    for (std::size_t i = 1; i < book.stations.size(); ++i) {
        const Station& station = book.stations[i];
        if (!station.start_plane || station.start_plane_until != BehindUntil::signal) continue;
        report.add(station.place,
                   station_words(station) + " asks to stay behind '" + book.plane(*station.start_plane).name +
                       "' until the signal, but only the first station begins at one.",
                   "Write until = \"set-off\".");
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

std::string passer_words(const PlaneCondition& condition) {
    return condition.part ? "the " + std::string(part_words(*condition.part)) : "the whole athlete";
}

void start_plane_passed(const CourseBook& book, Report& report) {
    each_shared_exit(book, [&](const Station& station, const Station& next) {
        for (const PlaneCondition& passed : station.landing.planes) {
            if (!asks_to_stay_behind(next, passed)) continue;
            report.add(next.place,
                       station_words(station) + " is completed with " + passer_words(passed) + " past '" +
                           book.plane(passed.plane).name + "', and at that moment " + station_words(next) +
                           " begins, which asks to be behind it until setting off: nobody can do both.",
                       "Take the start plane away, name another plane, or write exit = \"free\" before it.");
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
                       station_words(next) + " begins with " + passer_words(passed) + " past '" +
                           book.plane(passed.plane).name +
                           "' and asks to pass it once more: the athlete would have to go back over it "
                           "first.",
                       "Name the plane that this station passes, or take it away.");
        }
    });
}

void finish_without_place(const CourseBook& book, Report& report) {
    if (!book.finish.required || !book.finish.name.empty()) return;
    report.add(book.finish.place, "A finish signal is required, but nothing says which.",
               "Give [finish] a 'name' or a 'surface'.");
}

void points_without_format(const CourseBook& book, Report& report) {
    if (book.format != Format::first_fail_ends) return;
    for (const Station& station : book.stations) {
        if (station.checkpoints.empty() && station.points == 1) continue;
        report.add(station.place,
                   station_words(station) +
                       " gives points, but where the first fail ends the run nobody counts them.",
                   "Write format = \"every station counts\", or take the points and checkpoints away.");
    }
}

void too_large(const CourseBook& book, Report& report) {
    const auto tell = [&](Place place, const std::string& what, std::size_t has, std::size_t most) {
        if (has <= most) return;
        report.add(place,
                   what + ' ' + std::to_string(has) + "; a run can be ruled with at most " +
                       std::to_string(most) + '.',
                   "Split the course book in two, each with its own runs.");
    };
    for (const Station& station : book.stations) {
        tell(station.place, "The items in play on " + station_words(station) + " are", station.in_play.size(),
             kMostItems);
    }
    tell({}, "The stations of the course are", book.stations.size(), kMostStations);
    tell({}, "The surfaces that its stations and the finish name are", surfaces_named(book).size(),
         kMostSurfacesNamed);
    tell({}, "The planes of the course are", book.planes.size(), kMostPlanes);
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
