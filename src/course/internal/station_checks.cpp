#include <algorithm>
#include <set>

#include "course/internal/checks.h"
#include "course/internal/reach.h"

namespace plumbmark::course::internal {
namespace {

void start_empty(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.start.empty()) continue;
        report.add(station.place,
                   worded("{} has no surface to set off from, so it never begins.", station_words(station)),
                   worded("Write start = with at least one surface."));
    }
}

bool asks_for_contact(const Landing& landing) {
    return landing.parts != LandingParts::none;
}

void no_landing_condition(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        const Landing& landing = station.landing;
        const bool nothing = !asks_for_contact(landing) && landing.planes.empty() && !landing.control;
        const bool nowhere = asks_for_contact(landing) && landing.surfaces.empty();
        const bool no_parts = landing.parts == LandingParts::listed && landing.listed_parts.empty();
        if (!nothing && !nowhere && !no_parts) continue;
        const Sentence its = station_words(station);
        report.add(
            landing.place,
            nowhere ? worded("Nothing completes {}: its landing names no surface.", its)
            : no_parts
                ? worded("Nothing completes {}: its landing lists no part.", its)
                : worded(
                      "Nothing completes {}: its landing asks for no contact, no plane and no control mark.",
                      its),
            worded("Say on which surface, past which plane or by whose mark it is completed."));
    }
}

void hold_and_control(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.landing.hold || !station.landing.control) continue;
        report.add(station.landing.place,
                   worded("The landing of {} asks for a hold and for a judge's control mark.",
                          station_words(station)),
                   worded("Keep one of the two."));
    }
}

bool needs_a_hand(const Landing& landing) {
    return landing.parts == LandingParts::any_hand || landing.parts == LandingParts::both_hands ||
           (landing.parts == LandingParts::listed && landing.listed_parts.meets(kHands));
}

void hands_down_contradiction(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.landing.no_hands_down || !needs_a_hand(station.landing)) continue;
        report.add(
            station.landing.place,
            worded("The landing of {} needs a hand on it and forbids hands on it.", station_words(station)),
            worded("Take no_hands_down away, or ask for feet."));
    }
}

// Why an item can never be touched without failing.
Sentence why_never_touchable(const CourseBook& book, const Item& item) {
    if (!item.parts.empty() && parts_that_count(book, item).empty())
        return worded("only hair, clothing and gear may touch it, and on this course they do not count.");
    if (item.parts.empty()) return worded("no part may touch it.");
    return worded("what must be touched before it can never be touched in order.");
}

void never_touchable(const CourseBook& book, bool required, Report& report) {
    for (const Station& station : book.stations) {
        const std::set<SurfaceId> reachable = reachable_items(book, station);
        for (const Item& item : station.in_play) {
            if (item.required != required || reachable.count(item.surface) > 0) continue;
            const Sentence surface = surface_words(book, item.surface), why = why_never_touchable(book, item);
            report.add(
                item.place,
                required ? worded("{} is required on {}, but nobody can use it: {}", surface,
                                  station_words(station), why)
                         : worded("{} is in play on {}, but every touch of it would fail: {}", surface,
                                  station_words(station), why),
                worded(
                    "Mend 'parts', 'after' or the order of the row, of this item and of those before it."));
        }
    }
}

void required_never_touchable(const CourseBook& book, Report& report) {
    never_touchable(book, true, report);
}

void item_never_touchable(const CourseBook& book, Report& report) {
    never_touchable(book, false, report);
}

bool all_in_play(const Station& station, const ItemRow& row) {
    return std::all_of(row.members.begin(), row.members.end(),
                       [&](SurfaceId member) { return item_on(station, member) != nullptr; });
}

std::int32_t missing_from(const ItemRow& row, const std::set<SurfaceId>& touched) {
    return static_cast<std::int32_t>(std::count_if(row.members.begin(), row.members.end(),
                                                   [&](SurfaceId id) { return touched.count(id) == 0; }));
}

void row_never_taken(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        const std::set<SurfaceId> reachable = reachable_items(book, station);
        for (const ItemRow& row : station.rows) {
            const std::int32_t missing = missing_from(row, reachable);
            if (missing <= row.max_skipped || !all_in_play(station, row)) continue;
            report.add(
                row.place,
                worded("A row of {} allows {} to be skipped, but {} of its surfaces can never be touched "
                       "in order, so nobody can complete it.",
                       station_words(station), base::worded_n("{} surface", "{} surfaces", row.max_skipped),
                       missing),
                worded("Mend 'parts' or 'after' of these surfaces, or raise max_skipped."));
        }
    }
}

// What can have been touched when the landing is touched for the first time, with the landing's own surfaces
// that can then be touched.
std::set<SurfaceId> touched_by_first_landing(const CourseBook& book, const Station& station) {
    std::set<SurfaceId> landing(station.landing.surfaces.begin(), station.landing.surfaces.end());
    // What the athlete sets off from may be held from the beginning.
    for (SurfaceId id : station.start)
        landing.erase(id);
    std::set<SurfaceId> touched = reachable_items(book, station, landing);
    std::vector<SurfaceId> together;
    for (const Item& item : station.in_play) {
        if (landing.count(item.surface) > 0 && can_follow(book, station, item, touched))
            together.push_back(item.surface);
    }
    touched.insert(together.begin(), together.end());
    return touched;
}

void required_after_landing(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        const std::set<SurfaceId> reachable = reachable_items(book, station);
        const std::set<SurfaceId> in_time = touched_by_first_landing(book, station);
        for (const Item& item : station.in_play) {
            if (!item.required || in_time.count(item.surface) > 0 || reachable.count(item.surface) == 0)
                continue;
            report.add(
                item.place,
                worded("{} is required, but can only be used once the landing was touched, so landing for "
                       "the first time never completes {}.",
                       surface_words(book, item.surface), station_words(station)),
                worded("Let it come after another item, or take 'required' away."));
        }
        for (const ItemRow& row : station.rows) {
            if (missing_from(row, in_time) <= row.max_skipped) continue;
            if (missing_from(row, reachable) > row.max_skipped) continue;  // told as a row never taken
            report.add(
                row.place,
                worded("A row can only be used once the landing was touched, so landing for the first time "
                       "never completes {}.",
                       station_words(station)),
                worded("Put the landing surface last in the row, or take it out of the landing or the row."));
        }
    }
}

void row_may_be_skipped(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const ItemRow& row : station.rows) {
            if (static_cast<std::size_t>(row.max_skipped) < row.members.size()) continue;
            report.add(row.place,
                       worded("A row of {} has {} surfaces, of which {} may be skipped: it asks for nothing.",
                              station_words(station), row.members.size(), row.max_skipped),
                       worded("Lower max_skipped, or take the row away."));
        }
    }
}

void row_member_not_in_play(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const ItemRow& row : station.rows) {
            for (SurfaceId member : row.members) {
                if (item_on(station, member) != nullptr) continue;
                report.add(row.place,
                           worded("{} is in a row of {} but not in play on it.", surface_words(book, member),
                                  station_words(station)),
                           worded("Give the row 'parts', or the surface an entry of its own."));
            }
        }
    }
}

void start_is_landing(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        // Whoever must touch or pass something first has to leave, or does as much as was asked for.
        if (needs_touches(station) || !station.landing.planes.empty()) continue;
        for (SurfaceId id : station.landing.surfaces) {
            if (!contains(station.start, id)) continue;
            report.add(station.landing.place,
                       worded("{} starts from and lands on {}, and nothing lies between: it may be completed "
                              "without leaving it.",
                              station_words(station), surface_words(book, id)),
                       worded("Check that this is meant; a required item or a plane keeps them apart."));
        }
    }
}

bool reachable_touch(const Station& station, SurfaceId id) {
    return item_on(station, id) != nullptr || contains(station.landing.surfaces, id);
}

void landing_by_loose(const CourseBook& book, Report& report) {
    if (book.loose_counts) return;
    for (const Station& station : book.stations) {
        const Landing& landing = station.landing;
        if (landing.parts != LandingParts::listed || !landing.listed_parts.has(Part::loose)) continue;
        report.add(landing.place,
                   worded("The landing of {} needs hair, clothing or gear on it, which on this course do not "
                          "count, so nothing completes it.",
                          station_words(station)),
                   worded("Take \"loose\" out of its parts, or write loose_counts = true."));
    }
}

void item_twice(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        std::set<SurfaceId> seen;
        for (const Item& item : station.in_play) {
            if (seen.insert(item.surface).second) continue;
            report.add(
                item.place,
                worded("{} is in play twice on {}, so nobody can say which parts may touch it.",
                       surface_words(book, item.surface), station_words(station)),
                worded("Keep one item for each surface; in a lane, let each surface take the place of one."));
        }
    }
}

void checkpoint_out_of_play(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const Checkpoint& checkpoint : station.checkpoints) {
            if (!checkpoint.touched || reachable_touch(station, *checkpoint.touched)) continue;
            report.add(
                checkpoint.place,
                worded("Checkpoint '{}' of {} is reached by touching {}, which is out of play there.",
                       checkpoint.name, station_words(station), surface_words(book, *checkpoint.touched)),
                worded("Name an item or a landing surface of this station."));
        }
    }
}

constexpr Rule kRules[] = {
    {"start-empty", Severity::error, "A station without a surface to set off from.", start_empty},
    {"no-landing-condition", Severity::error, "A station that nothing completes.", no_landing_condition},
    {"hold-and-control", Severity::error, "A landing with both a hold and a judge's control mark.",
     hold_and_control},
    {"hands-down-contradiction", Severity::error, "A landing that needs a hand and forbids hands.",
     hands_down_contradiction},
    {"required-never-touchable", Severity::error, "A required item that can never be touched in order.",
     required_never_touchable},
    {"item-never-touchable", Severity::warning, "An item in play of which every touch would fail.",
     item_never_touchable},
    {"row-never-taken", Severity::error,
     "A row of which more surfaces can never be touched than may be skipped.", row_never_taken},
    {"required-after-landing", Severity::warning,
     "A required item or a row that can only be used once the landing was touched.", required_after_landing},
    {"landing-by-loose", Severity::error,
     "A landing that needs loose contact on a course where it does not count.", landing_by_loose},
    {"item-twice", Severity::error, "A surface that is in play twice on a station.", item_twice},
    {"row-asks-nothing", Severity::warning, "A row of which every surface may be skipped.",
     row_may_be_skipped},
    {"row-member-not-in-play", Severity::error, "A row with a surface that is not in play on its station.",
     row_member_not_in_play},
    {"start-is-landing", Severity::warning,
     "A station that starts from and lands on one surface, with nothing between.", start_is_landing},
    {"checkpoint-out-of-play", Severity::error,
     "A checkpoint on a surface that is out of play on its station.", checkpoint_out_of_play},
};

}  // namespace

std::span<const Rule> station_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
