#include "report/internal/json_study.h"

namespace plumbmark::report {
namespace {

using Json = nlohmann::ordered_json;

Json json_ns(const std::optional<base::Duration>& d) {
    return d ? Json(d->ns) : Json();
}

Json json_mark(const LaidOpen& open, ruling::MarkId mark) {
    if (!mark.valid()) return {};
    return {{"mark", mark.value}, {"says", event_of(open, mark)}};
}

Json json_station_key(const LaidOpen& open, course::StationId station) {
    return station.valid() ? Json(open.book->station(station).key) : Json();
}

Json json_surface(const LaidOpen& open, course::SurfaceId surface) {
    return surface.valid() ? Json(open.book->surface(surface).key) : Json();
}

Json json_beats(const LaidOpen& open, const std::vector<study::Beat>& beats) {
    Json all = Json::array();
    for (const study::Beat& beat : beats)
        all.push_back({{"from", json_mark(open, beat.from)},
                       {"to", json_mark(open, beat.to)},
                       {"time", json_length(beat.time)}});
    return all;
}

Json json_stretch(const LaidOpen& open, const study::Stretch& stretch) {
    return {{"station", json_station_key(open, stretch.station)},
            {"from", json_mark(open, stretch.from)},
            {"to", json_mark(open, stretch.to)},
            {"time", json_length(stretch.time)}};
}

Json json_stretches(const LaidOpen& open, const std::vector<study::Stretch>& stretches) {
    Json all = Json::array();
    for (const study::Stretch& stretch : stretches)
        all.push_back(json_stretch(open, stretch));
    return all;
}

Json json_station(const LaidOpen& open, const study::StationFigures& figures) {
    const course::Station& station = open.book->station(figures.station);
    Json touches = Json::array();
    for (const study::TouchCount& count : figures.touches)
        touches.push_back({{"part", course::part_key(count.part)},
                           {"least", count.low},
                           {"most", count.high ? Json(*count.high) : Json()}});
    return {{"station", station.key},
            {"name", station.name},
            {"verdict", ruling::verdict_key(figures.verdict)},
            {"if_reached", figures.if_reached},
            {"time", json_length(figures.time)},
            {"from_start", json_length(figures.from_start)},
            {"hands", json_beats(open, figures.hands)},
            {"feet", json_beats(open, figures.feet)},
            {"touches", std::move(touches)}};
}

Json json_grips(const LaidOpen& open) {
    Json all = Json::array();
    for (const study::Grip& grip : open.run.figures.grips)
        all.push_back({{"station", json_station_key(open, grip.station)},
                       {"part", course::part_key(grip.part)},
                       {"surface", json_surface(open, grip.surface)},
                       {"from", json_mark(open, grip.touch)},
                       {"to", json_mark(open, grip.leave)},
                       {"time", json_length(grip.time)}});
    return all;
}

Json json_rests(const LaidOpen& open) {
    Json all = Json::array();
    for (const study::Rest& rest : open.run.figures.rests) {
        Json one = json_stretch(open, rest.stretch);
        one["surface"] = json_surface(open, rest.surface);
        all.push_back(std::move(one));
    }
    return all;
}

Json json_unwatched(const LaidOpen& open) {
    Json all = Json::array();
    for (const study::Unwatched& gap : open.run.figures.unwatched)
        all.push_back({{"clip", open.run.evidence.clips[static_cast<std::size_t>(gap.clip.value)].name},
                       {"after_ns", gap.after.ns},
                       {"until_ns", gap.until.ns}});
    return all;
}

}  // namespace

Json json_length(const study::Length& length) {
    return {{"low_ns", json_ns(length.low)},
            {"high_ns", json_ns(length.high)},
            {"doubts", doubt_keys(length.doubt)},
            {"says", with_doubts(length_words(length), length.doubt).english()}};
}

Json json_difference(const study::Difference& difference) {
    return {{"low_ns", json_ns(difference.low)},
            {"high_ns", json_ns(difference.high)},
            {"told", told_key(difference.told())},
            {"doubts", doubt_keys(difference.doubt)},
            {"says", with_doubts(study::lost_words(difference), difference.doubt).english()}};
}

Json json_name(const RunName& name) {
    return {{"file", name.file}, {"meet", name.meet},     {"date", name.date},
            {"run", name.label}, {"number", name.number}, {"athlete", name.athlete}};
}

Json json_laid_open(const LaidOpen& open) {
    Json stations = Json::array();
    for (const study::StationFigures& figures : open.run.figures.stations)
        stations.push_back(json_station(open, figures));
    Json notes = Json::array();
    for (const base::Sentence& note : open.notes)
        notes.push_back(note.english());
    Json whole = json_name(open.name);
    whole["course"] = open.book->name;
    whole["revision"] = open.revision;
    whole["stations"] = std::move(stations);
    whole["grips"] = json_grips(open);
    whole["hangs"] = json_stretches(open, open.run.figures.hangs);
    whole["flights"] = json_stretches(open, open.run.figures.flights);
    whole["rests"] = json_rests(open);
    whole["not_watched"] = json_unwatched(open);
    whole["notes"] = std::move(notes);
    return whole;
}

std::string json_text(const Json& whole) {
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
