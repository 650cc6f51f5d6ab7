#include "report/internal/event_keys.h"
#include "report/internal/json_parts.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

// Not the words of docs/marks.md.
const char* ruled_signal_key(ruling::SignalKind kind) {
    switch (kind) {
        case ruling::SignalKind::start_given:
            return "start_given";
        case ruling::SignalKind::finish_registers:
            return "finish_registers";
        case ruling::SignalKind::run_over:
            break;
    }
    return "run_over";
}

/// One object for each kind of happening; 'event' tells them apart.
struct HappeningJson {
    const RulingDocument& document;

    Json operator()(const ruling::Touch& touch) const {
        return {{"event", "touch"},
                {"part", course::part_key(touch.part)},
                {"surface", json_surface(document, touch.surface)},
                {"grade", grade_key(touch.grade)}};
    }
    Json operator()(const ruling::Release& release) const {
        return {{"event", "release"},
                {"part", course::part_key(release.part)},
                {"surface", json_surface(document, release.surface)}};
    }
    Json operator()(const ruling::Cross& cross) const {
        return {{"event", "cross"},
                {"part", cross.part ? Json(course::part_key(*cross.part)) : Json()},
                {"plane", json_plane(document, cross.plane)},
                {"direction", cross.direction == ruling::Direction::forward ? "forward" : "back"}};
    }
    Json operator()(const ruling::Signal& signal) const {
        return {{"event", "signal"}, {"signal", ruled_signal_key(signal.kind)}};
    }
    Json operator()(const ruling::Infraction& infraction) const {
        return {{"event", "infraction"}, {"infraction", infraction_key(infraction.kind)}};
    }
    Json operator()(const ruling::Control&) const { return Json{{"event", "control"}}; }
    Json operator()(const ruling::SharedMoment&) const { return Json{{"event", "moment"}}; }
};

Json json_scope(const RulingDocument& document, const ruling::Scope& scope) {
    Json surfaces = Json::array();
    for (const course::SurfaceId id : scope.surfaces)
        surfaces.push_back(json_surface(document, id));
    Json planes = Json::array();
    for (const course::PlaneId id : scope.planes)
        planes.push_back(json_plane(document, id));
    return {{"whole_athlete", scope.whole_athlete},
            {"surfaces", std::move(surfaces)},
            {"planes", std::move(planes)},
            {"finish_signal", scope.finish_signal}};
}

Json json_mark(const RulingDocument& document, const ruling::Mark& mark) {
    Json alternatives = Json::array();
    for (const ruling::Happening& what : mark.alternatives)
        alternatives.push_back(json_happening(document, what));
    Json sightings = Json::array();
    for (const ruling::Sighting& sighting : mark.sightings)
        sightings.push_back(
            json_shown(document, ruling::Shown{sighting.clip, sighting.after, sighting.until}));
    return {{"id", mark.id.value},
            {"kind", "event"},
            {"words", mark_says(document, mark.id)},
            {"possible", mark.possible},
            {"alternatives", std::move(alternatives)},
            {"sightings", std::move(sightings)}};
}

Json json_contact(const RulingDocument& document, const ruling::ContactStatement& contact) {
    return {{"id", contact.id.value},
            {"kind", "contact"},
            {"words", mark_says(document, contact.id)},
            {"clip", contact.clip.value},
            {"at", json_instant(document, contact.clip, contact.at)},
            {"part", course::part_key(contact.part)},
            {"surface", json_surface(document, contact.surface)},
            {"on", contact.on}};
}

Json json_span(const RulingDocument& document, const ruling::WatchedSpan& span) {
    return {{"id", span.id.value},
            {"kind", "watched"},
            {"words", mark_says(document, span.id)},
            {"shown", json_shown(document, span_shown(span))},
            {"scope", json_scope(document, span.scope)}};
}

}  // namespace

Json json_happening(const RulingDocument& document, const ruling::Happening& what) {
    return std::visit(HappeningJson{document}, what);
}

namespace {

Json json_measure(const MeasureEntry& one) {
    Json out{{"says", one.says}, {"rests_on", one.rests_on}};
    if (!one.distance) return out;
    const MeasureEntry::Distance& d = *one.distance;
    const auto span = [](const double(&ends)[2]) { return Json::array({ends[0], ends[1]}); };
    out["plane"] = d.plane;
    out["how"] = d.how;
    out["side"] = d.side;
    out["metres_past"] = span(d.best);
    out["metres_past_95"] = span(d.likely);
    out["metres_past_999"] = span(d.sure);
    out["by_draws"] = d.by_draws;
    return out;
}

}  // namespace

Json json_marks(const RulingDocument& document) {
    Json marks = Json::array();
    for (const ruling::Mark& mark : document.evidence.marks)
        marks.push_back(json_mark(document, mark));
    for (const ruling::ContactStatement& contact : document.evidence.contacts)
        marks.push_back(json_contact(document, contact));
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        marks.push_back(json_span(document, span));
    for (Json& mark : marks) {
        const auto note = document.repeats.find(ruling::MarkId{mark["id"].get<std::int64_t>()});
        if (note != document.repeats.end()) mark["repeats"] = note->second;
        for (const MeasureEntry& one : document.measures)
            if (one.mark.value == mark["id"].get<std::int64_t>())
                mark["measures"].push_back(json_measure(one));
    }
    return marks;
}

}  // namespace plumbmark::report
