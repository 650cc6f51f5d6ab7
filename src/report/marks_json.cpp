#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "report/internal/event_keys.h"
#include "report/marks_export.h"

namespace plumbmark::report {
namespace {

using Json = nlohmann::ordered_json;
using meet::EventKind;

Json or_null(const std::string& text) {
    return text.empty() ? Json() : Json(text);
}

/// Of an undeclared surface the key is empty.
Json json_event(const meet::Event& event, const std::string& words) {
    Json out{{"event", event_key(event.kind)}};
    if (event.kind == EventKind::touch || event.kind == EventKind::release || event.kind == EventKind::cross)
        out["part"] = part_key_of(event);
    if (event.kind == EventKind::touch || event.kind == EventKind::release)
        out["surface"] = or_null(event.surface);
    if (event.kind == EventKind::touch) out["grade"] = grade_key(event.grade);
    if (event.kind == EventKind::cross) {
        out["plane"] = event.plane;
        out["direction"] = direction_key(event.direction);
    }
    if (event.kind == EventKind::signal) out["signal"] = signal_key(event.signal);
    if (event.kind == EventKind::infraction) out["infraction"] = infraction_key(event.infraction);
    out["words"] = words;
    return out;
}

Json json_instant(const ListedClip& clip, const std::optional<ListedInstant>& at) {
    if (!at) return nullptr;
    Json out{{"frame", at->frame},
             {"pts", at->pts},
             {"seconds", decimal_seconds(at->shown.ns)},
             {"captured", decimal_seconds(at->taken.ns)}};
    out["run_after"] = clip.run ? Json(decimal_seconds((at->taken + clip.run->low).ns)) : Json();
    out["run_until"] = clip.run ? Json(decimal_seconds((at->taken + clip.run->high).ns)) : Json();
    return out;
}

Json json_sighting(const MarkList& list, const ListedSighting& seen) {
    const ListedClip& clip = list.clips[seen.clip];
    return {{"clip", seen.clip},
            {"early", json_instant(clip, seen.early)},
            {"late", json_instant(clip, seen.late)}};
}

Json json_points(const MarkList& list, const std::vector<ListedPoint>& points) {
    Json out = Json::array();
    for (const ListedPoint& point : points)
        out.push_back(Json{{"clip", point.clip},
                           {"frame", json_instant(list.clips[point.clip], point.frame)},
                           {"at", point.at},
                           {"followed_from", point.followed_from ? Json(*point.followed_from) : Json()}});
    return out;
}

Json json_moment(const MarkList& list, const std::optional<ListedMoment>& moment) {
    if (!moment) return nullptr;
    return {{"clip", moment->clip},
            {"frame", json_instant(list.clips[moment->clip], moment->frame)},
            {"from", decimal_seconds(moment->from.ns)},
            {"to", decimal_seconds(moment->to.ns)}};
}

Json json_clip(const ListedClip& clip, std::size_t index) {
    Json out{{"clip", index},
             {"name", clip.name},
             {"file", clip.file},
             {"fingerprint", clip.fingerprint},
             {"sha256", or_null(clip.sha256)},
             {"frames", clip.frames},
             {"time_base", fmt::format("{}/{}", clip.time_base.num, clip.time_base.den)},
             {"capture", clip.capture},
             {"run_clock", nullptr}};
    if (clip.run)
        out["run_clock"] = {{"low", decimal_seconds(clip.run->low.ns)},
                            {"high", decimal_seconds(clip.run->high.ns)}};
    return out;
}

Json json_mark(const MarkList& list, const ListedMark& mark) {
    if (mark.kind == ListedKind::contact)
        return {{"mark", mark.id.value},
                {"kind", "contact"},
                {"words", mark.words.front()},
                {"part", course::part_key(mark.part)},
                {"surface", or_null(mark.surface)},
                {"state", mark.on ? "on" : "off"},
                {"at", json_sighting(list, mark.sightings.front())}};
    if (mark.kind == ListedKind::watched)
        return {{"mark", mark.id.value},
                {"kind", "watched"},
                {"words", mark.words.front()},
                {"scope",
                 {{"athlete", mark.scope.whole_athlete},
                  {"surfaces", mark.scope.surfaces},
                  {"planes", mark.scope.planes},
                  {"finish", mark.scope.finish_signal}}},
                {"span", json_sighting(list, mark.sightings.front())}};
    Json alternatives = Json::array(), sightings = Json::array();
    for (std::size_t i = 0; i < mark.alternatives.size(); ++i)
        alternatives.push_back(json_event(mark.alternatives[i], mark.words[i]));
    for (const ListedSighting& seen : mark.sightings)
        sightings.push_back(json_sighting(list, seen));
    return {{"mark", mark.id.value},
            {"kind", "event"},
            {"possible", mark.possible},
            {"alternatives", std::move(alternatives)},
            {"sightings", std::move(sightings)},
            {"note", mark.note},
            {"spot", mark.spot ? Json(*mark.spot) : Json()},
            {"pointed", json_points(list, mark.pointed)},
            {"measured", json_moment(list, mark.measured)}};
}

}  // namespace

std::string marks_json(const MarkList& list) {
    Json clips = Json::array(), marks = Json::array();
    for (std::size_t i = 0; i < list.clips.size(); ++i)
        clips.push_back(json_clip(list.clips[i], i));
    for (const ListedMark& mark : list.marks)
        marks.push_back(json_mark(list, mark));
    const Json whole = {{"format", "plumbmark-mark-list/1"},
                        {"program_version", list.program_version},
                        {"meet", list.meet_name},
                        {"run", list.run_label},
                        {"course", {{"name", list.course_name}, {"revision", list.course_revision}}},
                        {"clips", std::move(clips)},
                        {"marks", std::move(marks)}};
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
