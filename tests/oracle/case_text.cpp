#include "oracle/case_text.h"

#include "oracle/worlds.h"

namespace plumbmark::oracle {
namespace {

using course::Part;

std::string surface(const course::CourseBook& book, course::SurfaceId id) {
    return id.valid() ? book.surface(id).key : "something-undeclared";
}

std::string surfaces(const course::CourseBook& book, const std::vector<course::SurfaceId>& ids) {
    std::string text;
    for (course::SurfaceId id : ids)
        text += (text.empty() ? "" : ",") + surface(book, id);
    return text;
}

std::string parts(course::PartSet set) {
    std::string text;
    for (Part part : course::kAllParts) {
        if (set.has(part)) text += (text.empty() ? "" : ",") + std::string(course::part_key(part));
    }
    return text.empty() ? "nothing" : text;
}

std::string crosser(std::optional<Part> part) {
    return part ? std::string(course::part_key(*part)) : "whole-athlete";
}

std::string units(const Case& review, std::int64_t ns) {
    return std::to_string(ns / review.unit_ns);
}

const char* landing_parts(course::LandingParts parts) {
    switch (parts) {
        case course::LandingParts::any_part:
            return "any part";
        case course::LandingParts::any_foot:
            return "any foot";
        case course::LandingParts::both_feet:
            return "both feet";
        case course::LandingParts::both_hands:
            return "both hands";
        case course::LandingParts::any_hand:
            return "any hand";
        case course::LandingParts::none:
            return "no contact";
        case course::LandingParts::listed:
            return "listed";
    }
    return "?";
}

struct WordsOf {
    const course::CourseBook& book;
    std::string operator()(const ruling::Touch& t) const {
        const char* grade = t.grade == ruling::Grade::brush    ? " (brush)"
                            : t.grade == ruling::Grade::weight ? " (weight)"
                                                               : "";
        return "touch " + std::string(course::part_key(t.part)) + " " + surface(book, t.surface) + grade;
    }
    std::string operator()(const ruling::Release& r) const {
        return "release " + std::string(course::part_key(r.part)) + " " + surface(book, r.surface);
    }
    std::string operator()(const ruling::Cross& c) const {
        const char* way = c.direction == ruling::Direction::forward ? " forward" : " back";
        return "cross " + crosser(c.part) + " " + book.plane(c.plane).key + way;
    }
    std::string operator()(const ruling::Signal& s) const {
        return s.kind == ruling::SignalKind::start_given        ? "signal start"
               : s.kind == ruling::SignalKind::finish_registers ? "signal finish"
                                                                : "signal run-over";
    }
    std::string operator()(const ruling::Infraction& i) const {
        return i.kind == ruling::InfractionKind::assistance    ? "infraction assistance"
               : i.kind == ruling::InfractionKind::false_start ? "infraction false-start"
                                                               : "infraction lack-of-control";
    }
    std::string operator()(const ruling::Control&) const { return "control"; }
    std::string operator()(const ruling::SharedMoment&) const { return "moment"; }
};

std::string in_play(const course::CourseBook& book, const course::Station& station) {
    std::string text;
    for (const course::Item& item : station.in_play) {
        text += "    item " + surface(book, item.surface) + " by " + parts(item.parts);
        if (item.required) text += ", required";
        if (item.once) text += ", once";
        if (item.after) text += ", after " + surface(book, *item.after);
        text += "\n";
    }
    for (const course::ItemRow& row : station.rows)
        text += "    row " + surfaces(book, row.members) + ", skipping at most " +
                std::to_string(row.max_skipped) + "\n";
    return text;
}

std::string landing(const Case& review, const course::Landing& l) {
    std::string text = "    landing " + surfaces(review.book, l.surfaces) + ": " + landing_parts(l.parts);
    if (l.parts == course::LandingParts::listed) text += " " + parts(l.listed_parts);
    if (l.same_surface) text += ", on one surface";
    for (const course::PlaneCondition& condition : l.planes)
        text += ", past " + review.book.plane(condition.plane).key + " by " + crosser(condition.part);
    if (l.hold) text += ", hold " + units(review, l.hold->ns);
    if (l.control) text += ", control";
    if (l.no_hands_down) text += ", no hands down";
    return text + "\n";
}

std::string checkpoints(const course::CourseBook& book, const course::Station& s) {
    std::string text;
    for (const course::Checkpoint& each : s.checkpoints) {
        text += ", or " + std::to_string(each.points) + " for ";
        text += each.touched ? "touching " + surface(book, *each.touched)
                             : "passing " + book.plane(*each.crossed).key;
    }
    return text;
}

std::string station_text(const Case& review, const course::Station& s) {
    const course::CourseBook& book = review.book;
    std::string text = "  station " + s.key + " from " + surfaces(book, s.start);
    text += s.exit == course::Exit::shared ? ", shared exit" : ", free exit";
    if (s.attempts > 1) text += ", attempts " + std::to_string(s.attempts);
    if (s.cap) text += ", cap " + units(review, s.cap->ns);
    if (s.rest_limit) text += ", rest limit " + units(review, s.rest_limit->ns);
    if (s.step_down_allowed) text += ", stepping down allowed";
    if (!s.previous_items_neutral) text += ", previous items not neutral";
    if (s.start_plane) {
        text +=
            ", behind " + book.plane(*s.start_plane).key + " with " + parts(s.start_plane_parts) + " until ";
        text += s.start_plane_until == course::BehindUntil::signal ? "signal" : "set-off";
    }
    text += "\n" + in_play(book, s) + landing(review, s.landing);
    if (book.format == course::Format::every_station_counts)
        text += "    points " + std::to_string(s.points) + checkpoints(book, s) + "\n";
    return text;
}

std::string course_text(const Case& review) {
    const course::CourseBook& book = review.book;
    std::string text = "course: ";
    text += book.format == course::Format::first_fail_ends ? "first fail ends" : "every station counts";
    if (!book.brush_counts) text += ", brushes do not count";
    if (!book.loose_counts) text += ", loose does not count";
    if (!book.at_cap_is_in_time) text += ", at a cap is too late";
    if (book.false_start == course::FalseStart::no_effect) text += ", false start has no effect";
    if (book.run_cap) text += ", run cap " + units(review, book.run_cap->ns);
    if (!book.finish.name.empty() || book.finish.surface || book.finish.required) {
        text += book.finish.required ? ", finish required" : ", finish";
        if (book.finish.surface) text += " on " + surface(book, *book.finish.surface);
    }
    text += "\n";
    for (const course::Station& station : book.stations)
        text += station_text(review, station);
    return text;
}

std::string scope_text(const course::CourseBook& book, const ruling::Scope& scope) {
    std::string text = scope.whole_athlete ? " whole athlete" : "";
    for (course::SurfaceId id : scope.surfaces)
        text += " " + surface(book, id);
    for (course::PlaneId id : scope.planes)
        text += " " + book.plane(id).key;
    if (scope.finish_signal) text += " finish-signal";
    return text;
}

std::string mark_text(const Case& review, const ruling::Mark& mark) {
    std::string text = "  mark " + std::to_string(mark.id.value) + (mark.possible ? " possible:" : ":");
    for (std::size_t i = 0; i < mark.alternatives.size(); ++i)
        text += (i == 0 ? " " : " or ") + words(review.book, mark.alternatives[i]);
    for (const ruling::Sighting& seen : mark.sightings) {
        text += "  clip " + std::to_string(seen.clip.value) + " (";
        text += seen.after ? units(review, seen.after->ns) : "before";
        text += ", " + (seen.until ? units(review, seen.until->ns) + "]" : "after)");
        if (seen.row_known) text += ", its row known";
    }
    return text + "\n";
}

const char* outcome_words(Outcome outcome) {
    switch (outcome) {
        case Outcome::cleared:
            return "cleared";
        case Outcome::failed:
            return "failed";
        case Outcome::open:
            return "open";
        default:
            return "not reached";
    }
}

}  // namespace

std::string words(const course::CourseBook& book, const ruling::Happening& what) {
    return std::visit(WordsOf{book}, what);
}

std::string describe(const Case& review) {
    std::string text = course_text(review) + "review (times in units of " +
                       std::to_string(review.unit_ns / 1'000'000) + " ms):\n";
    for (std::size_t i = 0; i < review.evidence.clips.size(); ++i) {
        text += "  clip " + std::to_string(i) + " frames at";
        for (const base::Time& t : review.evidence.clips[i].frame_times)
            text += " " + units(review, t.ns);
        if (!review.evidence.clips[i].durations_known) text += ", order only";
        if (review.evidence.clips[i].row_delay.ns > 0)
            text += ", rows up to " + units(review, review.evidence.clips[i].row_delay.ns) + " later";
        text += "\n";
    }
    for (const ruling::ContactStatement& said : review.evidence.contacts) {
        text += "  at " + units(review, said.at.ns) + " of clip " + std::to_string(said.clip.value) + ": " +
                std::string(course::part_key(said.part)) + (said.on ? " on " : " off ") +
                surface(review.book, said.surface) + "\n";
    }
    for (const ruling::Mark& mark : review.evidence.marks)
        text += mark_text(review, mark);
    for (const ruling::WatchedSpan& span : review.evidence.spans) {
        text += "  watched clip " + std::to_string(span.clip.value) + " (" + units(review, span.after.ns) +
                ", " + units(review, span.until.ns) + "]:" + scope_text(review.book, span.scope) + "\n";
    }
    return text;
}

std::string describe(const Case& review, const Answer& answer) {
    if (answer.too_large) return "oracle: too large\n";
    if (!answer.consistent) return "oracle: no world\n";
    std::string text = "oracle, " + std::to_string(answer.states) + " states:\n";
    for (std::size_t i = 0; i < answer.stations.size(); ++i) {
        const StationAnswer& station = answer.stations[i];
        text += "  " + review.book.stations[i].key + ": " + ruling::verdict_words(station.verdict);
        if (station.if_reached) text += " if reached";
        for (ruling::Clause clause : station.failing)
            text += std::string(" ") + ruling::clause_key(clause);
        for (const std::int32_t points : station.points)
            text += (points == *station.points.begin() ? ", points " : " or ") + std::to_string(points);
        text += "\n";
    }
    for (const auto& [ending, told] : answer.worlds) {
        text += "  a world:";
        for (std::size_t i = 0; i < answer.stations.size(); ++i) {
            text += std::string(" ") + outcome_words(ending.stations[i].outcome);
            if (ending.stations[i].outcome == Outcome::failed) {
                text += std::string("(") + ruling::clause_key(ending.stations[i].clause) + ")";
            }
            if (ending.stations[i].credit > 0)
                text += " with " + std::to_string(ending.stations[i].credit) + " points";
        }
        text += std::string(ending.finished ? " finished" : "") + "\n" + told;
    }
    return text;
}

}  // namespace plumbmark::oracle
