#include <algorithm>

#include "course/internal/checks.h"

namespace plumbmark::course::internal {
namespace {

const Item* item_on(const Station& station, SurfaceId surface) {
    const auto found = std::find_if(station.in_play.begin(), station.in_play.end(),
                                    [&](const Item& item) { return item.surface == surface; });
    return found == station.in_play.end() ? nullptr : &*found;
}

void start_empty(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.start.empty()) continue;
        report.add(station.place,
                   station_words(station) + " has no surface to set off from, so it never begins.",
                   "Write start = with at least one surface.");
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
        report.add(landing.place,
                   "Nothing completes " + station_words(station) + ": " +
                       (nowhere    ? "its landing names no surface."
                        : no_parts ? "its landing lists no part."
                                   : "its landing asks for no contact, no plane and no control mark."),
                   "Say on which surface, past which plane or by whose mark it is completed.");
    }
}

void hold_and_control(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        if (!station.landing.hold || !station.landing.control) continue;
        report.add(
            station.landing.place,
            "The landing of " + station_words(station) + " asks for a hold and for a judge's control mark.",
            "Keep one of the two.");
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
            "The landing of " + station_words(station) + " needs a hand on it and forbids hands on it.",
            "Take no_hands_down away, or ask for feet.");
    }
}

// Whether the item can ever be touched without failing: some part may touch it, and so for all that must come
// before.
bool touchable(const Station& station, const Item& item) {
    const Item* at = &item;
    for (std::size_t steps = 0; steps <= station.in_play.size(); ++steps) {
        if (at->parts.empty()) return false;
        if (!at->after) return true;
        at = item_on(station, *at->after);
        if (at == nullptr) return false;
    }
    return false;  // a circle
}

void required_never_touchable(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const Item& item : station.in_play) {
            if (!item.required || touchable(station, item)) continue;
            report.add(item.place,
                       surface_words(book, item.surface) + " is required on " + station_words(station) +
                           " but can never be touched in order: no part is allowed, or what it comes after "
                           "cannot be "
                           "touched either.",
                       "Mend 'parts' or 'after' of this item and of those before it.");
        }
    }
}

void item_never_touchable(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const Item& item : station.in_play) {
            if (item.required || touchable(station, item)) continue;
            report.add(item.place,
                       surface_words(book, item.surface) + " is in play on " + station_words(station) +
                           " but every touch of it would fail.",
                       "Mend 'parts' or 'after', or take it out.");
        }
    }
}

void row_may_be_skipped(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const ItemRow& row : station.rows) {
            if (static_cast<std::size_t>(row.max_skipped) < row.members.size()) continue;
            report.add(row.place,
                       "A row of " + station_words(station) + " has " + std::to_string(row.members.size()) +
                           " surfaces, of which " + std::to_string(row.max_skipped) +
                           " may be skipped: it asks for nothing.",
                       "Lower max_skipped, or take the row away.");
        }
    }
}

void row_member_not_in_play(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const ItemRow& row : station.rows) {
            for (SurfaceId member : row.members) {
                if (item_on(station, member) != nullptr) continue;
                report.add(row.place,
                           surface_words(book, member) + " is in a row of " + station_words(station) +
                               " but not in play on it.",
                           "Give the row 'parts', or the surface an entry of its own.");
            }
        }
    }
}

void start_is_landing(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (SurfaceId id : station.landing.surfaces) {
            if (!contains(station.start, id)) continue;
            report.add(station.landing.place,
                       station_words(station) + " starts from and lands on " + surface_words(book, id) +
                           ": it may be completed without leaving it.",
                       "Check that this is meant; a required item or a plane keeps them apart.");
        }
    }
}

bool reachable_touch(const Station& station, SurfaceId id) {
    return item_on(station, id) != nullptr || contains(station.landing.surfaces, id);
}

void checkpoint_out_of_play(const CourseBook& book, Report& report) {
    for (const Station& station : book.stations) {
        for (const Checkpoint& checkpoint : station.checkpoints) {
            if (!checkpoint.touched || reachable_touch(station, *checkpoint.touched)) continue;
            report.add(checkpoint.place,
                       "Checkpoint '" + checkpoint.name + "' of " + station_words(station) +
                           " is reached by touching " + surface_words(book, *checkpoint.touched) +
                           ", which is out of play there.",
                       "Name an item or a landing surface of this station.");
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
    {"row-asks-nothing", Severity::warning, "A row of which every surface may be skipped.",
     row_may_be_skipped},
    {"row-member-not-in-play", Severity::error, "A row with a surface that is not in play on its station.",
     row_member_not_in_play},
    {"start-is-landing", Severity::warning, "A station that starts from and lands on one surface.",
     start_is_landing},
    {"checkpoint-out-of-play", Severity::error,
     "A checkpoint on a surface that is out of play on its station.", checkpoint_out_of_play},
};

}  // namespace

std::span<const Rule> station_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
