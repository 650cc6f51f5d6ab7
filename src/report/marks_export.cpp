#include "report/marks_export.h"

#include <fmt/format.h>

#include <utility>

#include "report/internal/event_keys.h"

namespace plumbmark::report {
namespace {

using meet::EventKind;

std::string frame_text(const std::optional<ListedInstant>& at) {
    return at ? std::to_string(at->frame) : std::string();
}

std::string time_text(const std::optional<ListedInstant>& at) {
    return at ? decimal_seconds(at->shown.ns) : std::string();
}

std::string kind_of(const ListedMark& mark) {
    switch (mark.kind) {
        case ListedKind::contact:
            return "contact";
        case ListedKind::watched:
            return "watched";
        case ListedKind::event:
            break;
    }
    return event_key(mark.alternatives.front().kind);
}

/// "athlete finish", "surface:deck plane:front".
std::string scope_text(const meet::Scope& scope) {
    std::string text = scope.whole_athlete ? "athlete" : "";
    const auto add = [&text](const std::string& word) { text += (text.empty() ? "" : " ") + word; };
    for (const std::string& key : scope.surfaces)
        add("surface:" + key);
    for (const std::string& key : scope.planes)
        add("plane:" + key);
    if (scope.finish_signal) add("finish");
    return text;
}

/// What the columns from 'part' to 'scope' hold, and what it says in words.
struct What {
    std::string part, surface, plane, direction, grade, signal, infraction, state, scope, words, others;
};

What what_of(const ListedMark& mark) {
    What what;
    what.words = mark.words.front();
    if (mark.kind == ListedKind::contact) {
        what.part = course::part_key(mark.part);
        what.surface = mark.surface;
        what.state = mark.on ? "on" : "off";
        return what;
    }
    if (mark.kind == ListedKind::watched) {
        what.scope = scope_text(mark.scope);
        return what;
    }
    const meet::Event& event = mark.alternatives.front();
    what.part = part_key_of(event);
    what.surface = event.surface;
    what.plane = event.plane;
    if (event.kind == EventKind::cross) what.direction = direction_key(event.direction);
    if (event.kind == EventKind::touch) what.grade = grade_key(event.grade);
    if (event.kind == EventKind::signal) what.signal = signal_key(event.signal);
    if (event.kind == EventKind::infraction) what.infraction = infraction_key(event.infraction);
    for (std::size_t i = 1; i < mark.words.size(); ++i)
        what.others += (i > 1 ? " | " : "") + mark.words[i];
    return what;
}

/// "211 412.5 300.25 camera A | 208 97.5 201 camera B": frame, x, y and clip.
std::string pointed_text(const MarkList& list, const ListedMark& mark) {
    std::string text;
    for (const ListedPoint& point : mark.pointed) {
        text += fmt::format("{}{} {} {} {}", text.empty() ? "" : " | ", point.frame.frame, point.at[0],
                            point.at[1], list.clips[point.clip].name);
        if (point.followed_from) text += fmt::format(", followed from {}", *point.followed_from);
    }
    return text;
}

std::vector<std::string> row(const MarkList& list, const ListedMark& mark, std::size_t which) {
    const ListedSighting& seen = mark.sightings[which];
    const ListedClip& clip = list.clips[seen.clip];
    const What what = what_of(mark);
    const auto on_run = [&clip](const std::optional<ListedInstant>& at, base::Duration RunClock::*end) {
        return at && clip.run ? decimal_seconds((at->taken + (*clip.run).*end).ns) : std::string();
    };
    const bool spot = mark.spot && which == 0;
    const bool measured = mark.measured && mark.measured->clip == seen.clip;
    return {list.run_label,
            std::to_string(mark.id.value),
            kind_of(mark),
            clip.name,
            what.part,
            what.surface,
            what.plane,
            what.direction,
            what.grade,
            what.signal,
            what.infraction,
            what.state,
            what.scope,
            mark.possible ? "yes" : "no",
            what.words,
            what.others,
            frame_text(seen.early),
            frame_text(seen.late),
            time_text(seen.early),
            time_text(seen.late),
            on_run(seen.early, &RunClock::low),
            on_run(seen.late, &RunClock::high),
            mark.note,
            spot ? fmt::format("{:.6g}", (*mark.spot)[0]) : std::string(),
            spot ? fmt::format("{:.6g}", (*mark.spot)[1]) : std::string(),
            which == 0 ? pointed_text(list, mark) : std::string(),
            measured ? std::to_string(mark.measured->frame.frame) : std::string(),
            measured ? decimal_seconds(mark.measured->from.ns) : std::string(),
            measured ? decimal_seconds(mark.measured->to.ns) : std::string()};
}

}  // namespace

std::string decimal_seconds(std::int64_t ns) {
    // Of the smallest number the positive one does not exist; as an unsigned one it does.
    const std::uint64_t size = ns < 0 ? 0 - static_cast<std::uint64_t>(ns) : static_cast<std::uint64_t>(ns);
    return fmt::format("{}{}.{:09}", ns < 0 ? "-" : "", size / 1'000'000'000, size % 1'000'000'000);
}

base::Table marks_table(const MarkList& list) {
    base::Table table;
    table.header = {"run",        "mark",           "kind",          "clip",       "part",
                    "surface",    "plane",          "direction",     "grade",      "signal",
                    "infraction", "state",          "scope",         "possible",   "words",
                    "or",         "early_frame",    "late_frame",    "early_time", "late_time",
                    "run_after",  "run_until",      "note",          "spot_x",     "spot_y",
                    "pointed",    "measured_frame", "measured_from", "measured_to"};
    for (const ListedMark& mark : list.marks)
        for (std::size_t i = 0; i < mark.sightings.size(); ++i)
            table.rows.push_back({0, row(list, mark, i)});
    return table;
}

}  // namespace plumbmark::report
