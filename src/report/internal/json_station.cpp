#include "report/internal/json_parts.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

template <class Tag, class List>
Json key_or_null(base::Id<Tag> id, const List& list) {
    if (!id.valid() || static_cast<std::size_t>(id.value) >= list.size()) return nullptr;
    return list[static_cast<std::size_t>(id.value)].key;
}

const char* state_key(ruling::ClauseState state) {
    switch (state) {
        case ruling::ClauseState::kept:
            return "kept";
        case ruling::ClauseState::broken:
            return "broken";
        case ruling::ClauseState::not_shown:
            return "not_shown";
        case ruling::ClauseState::not_tested:
            break;
    }
    return "not_tested";
}

const char* settle_key(ruling::SettleKind kind) {
    switch (kind) {
        case ruling::SettleKind::watch_span:
            return "watch_span";
        case ruling::SettleKind::tighten_bracket:
            return "tighten_bracket";
        case ruling::SettleKind::order_marks:
            return "order_marks";
        case ruling::SettleKind::resolve_possible:
            return "resolve_possible";
        case ruling::SettleKind::another_angle:
            break;
    }
    return "another_angle";
}

Json json_mark_ids(const std::vector<ruling::MarkId>& ids) {
    Json out = Json::array();
    for (const ruling::MarkId id : ids)
        out.push_back(id.value);
    return out;
}

Json json_clauses(const ruling::StationRuling& station) {
    Json out = Json::array();
    for (const ruling::ClauseFinding& finding : station.clauses)
        out.push_back({{"clause", ruling::clause_key(finding.clause)},
                       {"state", state_key(finding.state)},
                       {"sentence", finding.sentence}});
    return out;
}

Json json_failing(const ruling::StationRuling& station) {
    Json out = Json::array();
    for (const ruling::Clause clause : station.failing_clauses)
        out.push_back(ruling::clause_key(clause));
    return out;
}

Json json_margin(const std::optional<ruling::Margin>& margin) {
    if (!margin) return nullptr;
    if (margin->unlimited) return {{"unlimited", true}, {"frames", nullptr}, {"ns", nullptr}};
    return {{"unlimited", false}, {"frames", margin->frames}, {"ns", margin->time.ns}};
}

Json json_world_event(const RulingDocument& document, const ruling::WorldEvent& event) {
    return {{"mark", json_mark_id(event.mark)},
            {"unseen", event.unseen},
            {"clip", event.clip.valid() ? Json(event.clip.value) : Json()},
            {"at", json_instant(document, event.clip, event.at)},
            {"what", json_happening(document, event.what)},
            {"sentence", event.sentence}};
}

Json json_worlds(const RulingDocument& document, const ruling::StationRuling& station) {
    Json out = Json::array();
    for (const ruling::World& world : station.worlds) {
        Json events = Json::array();
        for (const ruling::WorldEvent& event : world.events)
            events.push_back(json_world_event(document, event));
        out.push_back({{"verdict", ruling::verdict_key(world.verdict)},
                       {"clause", ruling::clause_key(world.clause)},
                       {"sentence", world.sentence},
                       {"events", std::move(events)}});
    }
    return out;
}

Json json_settle(const RulingDocument& document, const ruling::StationRuling& station) {
    Json out = Json::array();
    for (const ruling::SettleStep& step : station.settle) {
        Json leads_to = Json::array();
        for (const ruling::Verdict verdict : step.leads_to)
            leads_to.push_back(ruling::verdict_key(verdict));
        out.push_back({{"kind", settle_key(step.kind)},
                       {"sentence", step.sentence},
                       {"marks", json_mark_ids(step.marks)},
                       {"where", json_shown(document, step.where)},
                       {"leads_to", std::move(leads_to)}});
    }
    return out;
}

Json json_calls(const RulingDocument& document, const ruling::StationRuling& station) {
    Json out = Json::array();
    for (const FloorCallEntry& call : calls_for(document, station.station))
        out.push_back({{"call", call_words(call.call)},
                       {"judge", call.judge},
                       {"under_appeal", call.under_appeal},
                       {"outcome", outcome_key(outcome_of(call.call, station, document.when_not_shown))}});
    return out;
}

}  // namespace

Json json_surface(const RulingDocument& document, course::SurfaceId id) {
    return key_or_null(id, document.book.surfaces);
}

Json json_plane(const RulingDocument& document, course::PlaneId id) {
    return key_or_null(id, document.book.planes);
}

Json json_station_key(const RulingDocument& document, course::StationId id) {
    return key_or_null(id, document.book.stations);
}

Json json_mark_id(ruling::MarkId id) {
    return id.valid() ? Json(id.value) : Json();
}

Json json_instant(const RulingDocument& document, ruling::ClipIndex clip,
                  const std::optional<base::Time>& t) {
    if (!t) return nullptr;
    const auto frame = frame_at(document.evidence, clip, *t);
    return {{"ns", t->ns}, {"frame", frame ? Json(*frame) : Json()}};
}

Json json_shown(const RulingDocument& document, const std::optional<ruling::Shown>& shown) {
    if (!shown) return nullptr;
    return {{"clip", shown->clip.value},
            {"after", json_instant(document, shown->clip, shown->after)},
            {"until", json_instant(document, shown->clip, shown->until)}};
}

/// As the course book writes it: what reads JSON makes it fit for its own place.
static Json json_station_name(const RulingDocument& document, course::StationId id) {
    const bool known = id.valid() && static_cast<std::size_t>(id.value) < document.book.stations.size();
    return known ? document.book.stations[static_cast<std::size_t>(id.value)].name : std::string();
}

Json json_station(const RulingDocument& document, const ruling::StationRuling& station) {
    return {
        {"station", json_station_key(document, station.station)},
        {"name", json_station_name(document, station.station)},
        {"verdict", ruling::verdict_key(station.verdict)},
        {"if_reached", station.if_reached},
        {"sentence", station.sentence},
        {"deciding_clause",
         station.deciding_clause ? Json(ruling::clause_key(*station.deciding_clause)) : Json()},
        {"failing_clauses", json_failing(station)},
        {"deciding_mark", json_mark_id(station.deciding_mark)},
        {"begins_at", json_shown(document, station.begins_at)},
        {"decided_at", json_shown(document, station.decided_at)},
        {"margin", json_margin(station.margin)},
        {"rests_on", json_mark_ids(station.rests_on)},
        {"clauses", json_clauses(station)},
        {"points", station.points},
        {"worlds", json_worlds(document, station)},
        {"settle", json_settle(document, station)},
        {"floor_calls", json_calls(document, station)},
    };
}

}  // namespace plumbmark::report
