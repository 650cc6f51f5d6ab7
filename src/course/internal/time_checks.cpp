// Whether the lengths of time in a book leave room for one another.
#include <algorithm>

#include "course/internal/checks.h"
#include "course/internal/lengths.h"
#include "course/internal/reach.h"

namespace plumbmark::course::internal {
namespace {

// Exactly at the cap there is room only for who lands in the very moment of setting off.
bool hold_fits(const CourseBook& book, const Station& station) {
    const base::Duration hold = *station.landing.hold;
    if (book.run_cap && hold >= *book.run_cap) return false;
    if (!station.cap || hold < *station.cap) return true;
    return hold == *station.cap && book.at_cap_is_in_time && !needs_touches(station);
}

void hold_not_below_cap(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.landing.hold || hold_fits(book, station)) continue;
        const bool run = book.run_cap && *station.landing.hold >= *book.run_cap;
        const std::string hold = seconds_words(*station.landing.hold);
        const std::string cap = seconds_words(run ? *book.run_cap : *station.cap);
        report.add(
            station.landing.place,
            run ? worded("The landing of {} must be held for {}, but the run ends {} after the start "
                         "signal: nobody could complete it.",
                         station_words(station), hold, cap)
                : worded("The landing of {} must be held for {}, but the station fails {} after setting "
                         "off: nobody could complete it.",
                         station_words(station), hold, cap),
            worded("Shorten the hold, or raise the cap."));
    }
}

void holds_fill_run_cap(const CourseBook& book, Report& report) {
    if (!book.run_cap || book.format != Format::first_fail_ends) return;
    base::Duration together{0};
    for (const Station& station : book.stations) {
        if (!station.landing.hold) continue;
        if (*station.landing.hold >= *book.run_cap) return;  // told by itself
        together = together + *station.landing.hold;
    }
    if (together < *book.run_cap) return;
    report.add(
        book.stations.front().place,
        worded("The holds of all stations take {} together, but the run ends {} after the start signal: "
               "nobody could clear them all.",
               seconds_words(together), seconds_words(*book.run_cap)),
        worded("Raise run_cap, or shorten the holds."));
}

bool never_runs_out(const CourseBook& book, const std::optional<base::Duration>& limit) {
    return limit && *limit >= *book.run_cap;
}

void limit_beyond_run_cap(const CourseBook& book, Report& report) {
    if (!book.run_cap) return;
    const Sentence repair = worded("Make it shorter than run_cap, or take it away.");
    const std::string end = seconds_words(*book.run_cap);
    for (const Station& station : book.stations) {
        if (never_runs_out(book, station.cap))
            report.add(
                station.place,
                worded("The cap of {}, {}, never runs out: the run ends before, {} after the start signal.",
                       station_words(station), seconds_words(*station.cap), end),
                repair);
        if (never_runs_out(book, station.rest_limit))
            report.add(
                station.place,
                worded("The rest limit of {}, {}, never runs out: the run ends before, {} after the start "
                       "signal.",
                       station_words(station), seconds_words(*station.rest_limit), end),
                repair);
    }
}

void hold_longer_than_rest(const CourseBook& book, Report& report) {
    for (std::size_t i = 0; i + 1 < book.stations.size(); ++i) {
        const Station& station = book.stations[i];
        const Station& next = book.stations[i + 1];
        if (station.exit != Exit::shared || !station.landing.hold || !next.rest_limit) continue;
        if (*station.landing.hold <= *next.rest_limit) continue;
        report.add(
            next.place,
            worded("On the platform between {} and {} the athlete must stand still for {} and may then "
                   "rest for only {}: the rest begins where the hold ends, so the hold is no part of it.",
                   station_words(station), station_words(next), seconds_words(*station.landing.hold),
                   seconds_words(*next.rest_limit)),
            worded("Check that this is meant; a rest limit that counts the hold must be longer than it."));
    }
}

void rest_limit_not_counted(const CourseBook& book, Report& report) {
    for (std::size_t i = 1; i < book.stations.size(); ++i) {
        const Station& station = book.stations[i];
        if (!station.rest_limit || book.stations[i - 1].exit != Exit::free) continue;
        report.add(
            station.place,
            worded("{} follows a free exit and so begins only when the athlete sets off: its rest limit "
                   "never counts.",
                   station_words(station)),
            worded("Take rest_limit away, or let the station before share its exit."));
    }
}

constexpr Rule kRules[] = {
    {"hold-not-below-cap", Severity::error, "A hold for which the station's cap or the run's leaves no time.",
     hold_not_below_cap},
    {"holds-fill-run-cap", Severity::error,
     "Holds that together leave no time for the rest of a run that must clear every station.",
     holds_fill_run_cap},
    {"limit-beyond-run-cap", Severity::warning,
     "A station's cap or rest limit that the run cap always comes before.", limit_beyond_run_cap},
    {"hold-longer-than-rest", Severity::warning,
     "A hold on a shared platform that is longer than the rest allowed there afterwards.",
     hold_longer_than_rest},
    {"rest-limit-not-counted", Severity::warning,
     "A rest limit on a station that begins only at its set-off, after a free exit.", rest_limit_not_counted},
};

}  // namespace

std::span<const Rule> time_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
