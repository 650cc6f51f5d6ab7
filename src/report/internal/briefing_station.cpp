#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "course/words.h"
#include "report/internal/briefing_words.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

using course::CourseBook;
using course::Station;

bool shares_its_start(const CourseBook& book, std::size_t number) {
    return number > 0 && book.stations[number - 1].exit == course::Exit::shared;
}

std::string begins_sentence(const CourseBook& book, std::size_t number) {
    const bool goes_on = book.format == course::Format::every_station_counts;
    if (number == 0) return "The station begins at the start signal; be on the start at that moment.";
    if (shares_its_start(book, number))
        return fmt::format(
            "The station begins when the one before is completed{}: what is out of play fails it "
            "from then on, also before setting off.",
            goes_on ? ", or, after a fail there, with the setting off" : "");
    return "The station begins with the setting off.";
}

BriefingPoint start_point(const CourseBook& book, std::size_t number) {
    const Station& station = book.stations[number];
    const std::string from = surface_list(book, station.start, "or");
    return {"start",
            "Start",
            {fmt::format("Set off from {}.", from), begins_sentence(book, number),
             "Setting off is the first touch of what is in play, or of the landing straight from the start" +
                 std::string(station.step_down_allowed
                                 ? ". Stepping down from the start and up again begins nothing."
                                 : ", or the moment at which no part is on the start any more.")}};
}

BriefingPoint start_plane_point(const CourseBook& book, const Station& station) {
    const std::string parts = station.start_plane_parts == course::kWholeBody
                                  ? "the whole body"
                                  : course::parts_listed(station.start_plane_parts);
    const char* until = station.start_plane_until == course::BehindUntil::signal ? "the start signal is given"
                                                                                 : "the athlete sets off";
    return {"start_plane",
            "Start plane",
            {fmt::format("Keep {} behind {} until {}; passing it before that ends the attempt.", parts,
                         plane_name(book, *station.start_plane), until)}};
}

bool alike(const course::Item& a, const course::Item& b) {
    return a.parts == b.parts && a.required == b.required && a.after == b.after && a.once == b.once;
}

std::string touch_sentence(const std::string& names, course::PartSet parts) {
    course::PartSet any = course::kWholeBody;
    any.add(course::Part::loose);
    if (parts == any) return fmt::format("Any part may touch {}.", names);
    if (parts == course::kWholeBody)
        return fmt::format("Any part of the body may touch {}, but hair, clothing and gear may not.", names);
    return fmt::format("With {} only: {}. A touch by any other part fails.", course::parts_listed(parts),
                       names);
}

void add_item_rules(const CourseBook& book, const course::Item& item, const std::string& names, bool several,
                    std::vector<std::string>& out) {
    const std::string each = several ? "Each of " + names : base::sentence_case(names);
    if (item.required)
        out.push_back(fmt::format("{} must be touched before the landing completes the station.", each));
    if (item.after)
        out.push_back(fmt::format("{} may be touched only after {}; a touch before that fails.", each,
                                  surface_list(book, {*item.after}, "or")));
    if (item.once)
        out.push_back(
            fmt::format("{} may be used once: when every part has left it, another touch fails.", each));
}

/// An item that is start or landing as well may be touched by any part.
void add_double_use(const CourseBook& book, const Station& station, std::vector<std::string>& out) {
    const auto among = [](const std::vector<course::SurfaceId>& list, course::SurfaceId id) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    for (const course::Item& item : station.in_play)
        if (among(station.start, item.surface) || among(station.landing.surfaces, item.surface))
            out.push_back(
                fmt::format("{} is start or landing as well, so any part may touch it; another part than "
                            "those named uses nothing by it.",
                            base::sentence_case(surface_list(book, {item.surface}, "or"))));
}

BriefingPoint in_play_point(const CourseBook& book, const Station& station) {
    BriefingPoint point{"in_play", "In play", {}};
    for (std::size_t i = 0; i < station.in_play.size();) {
        const course::Item& first = station.in_play[i];
        std::vector<course::SurfaceId> surfaces;
        for (; i < station.in_play.size() && alike(first, station.in_play[i]); ++i)
            surfaces.push_back(station.in_play[i].surface);
        const std::string names = surface_list(book, surfaces, "and");
        point.sentences.push_back(touch_sentence(names, first.parts));
        add_item_rules(book, first, names, surfaces.size() > 1, point.sentences);
    }
    if (station.in_play.empty())
        point.sentences.emplace_back("Nothing between start and landing is in play.");
    add_double_use(book, station, point.sentences);
    point.sentences.emplace_back("The start and the landing of the station are in play, too.");
    return point;
}

BriefingPoint row_point(const CourseBook& book, const course::ItemRow& row) {
    const std::string skipped = row.max_skipped == 0 ? "none may be left out"
                                : row.max_skipped == 1
                                    ? "one of them may be left out"
                                    : fmt::format("at most {} of them may be left out", row.max_skipped);
    return {"row",
            "In order",
            {fmt::format("Take {} in this order; {}. Going back to an earlier one is allowed.",
                         surface_list(book, row.members, "and then"), skipped)}};
}

BriefingPoint before_point(const CourseBook& book, std::size_t number) {
    const Station& station = book.stations[number];
    BriefingPoint point{"station_before", "From the station before", {}};
    if (!shares_its_start(book, number))
        point.sentences.emplace_back("What only another station names is out of play here.");
    else if (station.previous_items_neutral)
        point.sentences.emplace_back(
            "Until setting off, touching what was in play on the station before neither "
            "helps nor fails; from then on it is out of play.");
    else
        point.sentences.emplace_back(
            "What was in play on the station before is out of play from the beginning of this one.");
    return point;
}

BriefingPoint exit_point(const CourseBook& book, std::size_t number) {
    const bool last = number + 1 == book.stations.size();
    const bool shared = book.stations[number].exit == course::Exit::shared;
    if (last)
        return {"exit",
                "Exit",
                {shared ? "This is the last station." : "This is the last station; its exit is free."}};
    return {"exit",
            "Exit",
            {shared ? "Shared: the landing is the start of the next station, which begins at this "
                      "completion. Whoever "
                      "overruns it has cleared this station and fails the next."
                    : "Free: after completion nothing counts until the next station begins."}};
}

BriefingPoint attempts_point(const Station& station) {
    const std::string ends = fmt::format(
        "An attempt ends with a touch of what is out of play or by a part that may not touch{}, or by "
        "touching the "
        "start again after something in play was touched and, since then, no part was on the start.",
        station.start_plane ? ", by passing the start plane too early" : "");
    if (station.attempts == 1)
        return {"attempts", "Attempts", {"One attempt: what ends it fails the station.", ends}};
    return {"attempts",
            "Attempts",
            {fmt::format(
                 "{} attempts; the next one begins with its setting off, with nothing used yet. When none is "
                 "left the station fails.",
                 station.attempts),
             ends}};
}

BriefingPoint times_point(const CourseBook& book, const Station& station) {
    BriefingPoint point{"times", "Times", {}};
    if (station.cap)
        point.sentences.push_back(
            fmt::format("Cap: {} from the first setting off, over all attempts; then the station fails.",
                        length_words(*station.cap)));
    else
        point.sentences.emplace_back("There is no cap on this station.");
    if (station.rest_limit)
        point.sentences.push_back(
            fmt::format("Rest on the start: at most {} before setting off; then the station "
                        "fails.",
                        length_words(*station.rest_limit)));
    else
        point.sentences.emplace_back("Rest on the start is not limited.");
    if (station.cap || station.rest_limit) point.sentences.push_back(at_cap_sentence(book));
    return point;
}

BriefingPoint points_point(const CourseBook& book, const Station& station) {
    BriefingPoint point{"points", "Points", {}};
    if (book.format == course::Format::first_fail_ends) {
        point.sentences.emplace_back("In this format nobody counts points: the station is cleared or not.");
        return point;
    }
    point.sentences.push_back(fmt::format("A clear brings {}.", base::counted(station.points, "point")));
    for (const course::Checkpoint& checkpoint : station.checkpoints) {
        const std::string how = checkpoint.touched
                                    ? "by touching " + surface_list(book, {*checkpoint.touched}, "or")
                                    : "with the whole athlete past " + plane_name(book, *checkpoint.crossed);
        point.sentences.push_back(fmt::format("Without a clear: {} for {}, reached {}.",
                                              base::counted(checkpoint.points, "point"),
                                              isolated(checkpoint.name), how));
    }
    if (!station.checkpoints.empty())
        point.sentences.emplace_back("Of these the best one counts; they are not added up.");
    return point;
}

}  // namespace

std::vector<BriefingPoint> station_points(const CourseBook& book, std::size_t number) {
    const Station& station = book.stations[number];
    std::vector<BriefingPoint> points{start_point(book, number)};
    if (station.start_plane) points.push_back(start_plane_point(book, station));
    points.push_back(in_play_point(book, station));
    for (const course::ItemRow& row : station.rows)
        points.push_back(row_point(book, row));
    for (BriefingPoint& point : landing_points(book, station))
        points.push_back(std::move(point));
    points.push_back(exit_point(book, number));
    points.push_back(before_point(book, number));
    points.push_back(attempts_point(station));
    points.push_back(times_point(book, station));
    points.push_back(points_point(book, station));
    return points;
}

}  // namespace plumbmark::report
