#include "store/internal/entity_json.h"

#include "store/internal/camera_json.h"
#include "store/internal/capture_json.h"
#include "store/internal/clip_content.h"
#include "store/internal/clip_picture.h"
#include "store/internal/clip_streams.h"
#include "store/internal/competition_json.h"
#include "store/internal/course_rows.h"
#include "store/internal/json_values.h"
#include "store/internal/read_word.h"
#include "store/internal/record_json.h"
#include "store/internal/testing_json.h"

namespace plumbmark::store {
namespace {

using meet::FrameRef;

Json frame_or_null(const std::optional<FrameRef>& frame) {
    return frame ? frame_json(*frame) : Json(nullptr);
}

Json to_json_part(const std::optional<course::Part>& part) {
    return part ? Json(word_for(kPartWords, *part)) : Json(nullptr);
}

Json to_json_event(const meet::Event& event) {
    return {{"event", word_for(kEventWords, event.kind)},
            {"part", to_json_part(event.part)},
            {"surface", event.surface},
            {"plane", event.plane},
            {"direction", word_for(kDirectionWords, event.direction)},
            {"grade", word_for(kGradeWords, event.grade)},
            {"signal", word_for(kSignalWords, event.signal)},
            {"infraction", word_for(kInfractionWords, event.infraction)}};
}

struct Writer {
    Json operator()(const meet::MeetInfo& info) const {
        return {{"name", info.name}, {"venue", info.venue}, {"date", info.date}};
    }
    Json operator()(const meet::Athlete& athlete) const {
        Json object{{"number", athlete.number},
                    {"name", sealed_text(athlete.name)},
                    {"club", sealed_text(athlete.club)},
                    {"division", athlete.division}};
        add_person_members(object, athlete);
        return object;
    }
    Json operator()(const meet::BookRevision& book) const {
        Json object{{"file_name", sealed_text(book.file_name)}, {"text", book.text}};
        if (!book.path.empty()) object["path"] = sealed_text(book.path);
        return object;
    }
    Json operator()(const meet::Clip& clip) const {
        const Json delay = clip.row_delay ? Json(std::to_string(clip.row_delay->ns)) : Json(nullptr);
        Json object{{"name", sealed_text(clip.name)},
                    {"relative_path", sealed_text(clip.relative_path)},
                    {"last_known_path", sealed_text(clip.last_known_path)},
                    {"fingerprint", clip.fingerprint},
                    {"frame_count", clip.frame_count},
                    {"time_base_num", std::to_string(clip.time_base.num)},
                    {"time_base_den", std::to_string(clip.time_base.den)},
                    {"row_delay_ns", delay}};
        add_capture_members(object, clip);
        add_stream_members(object, clip);
        add_content_member(object, clip);
        add_picture_member(object, clip);
        return object;
    }
    Json operator()(const meet::Run& run) const {
        Json clips = Json::array();
        for (const meet::ClipId clip : run.clips)
            clips.push_back(clip.value);
        Json object{{"athlete", id_or_null(run.athlete.value)},
                    {"book", id_or_null(run.book.value)},
                    {"label", sealed_text(run.label)},
                    {"clips", clips},
                    {"question", sealed_text(run.question)}};
        add_course_members(object, run);
        add_entry_members(object, run);
        return object;
    }
    Json operator()(const meet::Mark& mark) const {
        Json events = Json::array();
        for (const meet::Event& event : mark.alternatives)
            events.push_back(to_json_event(event));
        Json sightings = Json::array();
        for (const meet::Sighting& sighting : mark.sightings) {
            sightings.push_back({{"clip", sighting.clip.value},
                                 {"early", frame_or_null(sighting.early)},
                                 {"late", frame_or_null(sighting.late)}});
        }
        Json object{{"run", mark.run.value},          {"alternatives", events},
                    {"possible", mark.possible},      {"sightings", sightings},
                    {"note", sealed_text(mark.note)}, {"spot", point_or_null(mark.spot)}};
        add_measured_members(object, mark);
        return object;
    }
    Json operator()(const meet::ContactStatement& contact) const {
        return {{"run", contact.run.value},           {"clip", contact.clip.value},
                {"frame", frame_json(contact.frame)}, {"part", word_for(kPartWords, contact.part)},
                {"surface", contact.surface},         {"on", contact.on}};
    }
    Json operator()(const meet::WatchedSpan& span) const {
        return {{"run", span.run.value},
                {"clip", span.clip.value},
                {"from", frame_json(span.from)},
                {"to", frame_json(span.to)},
                {"whole_athlete", span.scope.whole_athlete},
                {"surfaces", span.scope.surfaces},
                {"planes", span.scope.planes},
                {"finish", span.scope.finish_signal}};
    }
    Json operator()(const meet::Drawing& drawing) const {
        Json points = Json::array();
        for (const auto& point : drawing.points)
            points.push_back(point_json(point));
        Json object{{"clip", drawing.clip.value},
                    {"kind", word_for(kDrawingWords, drawing.kind)},
                    {"key", drawing.key},
                    {"points", points},
                    {"towards", point_or_null(drawing.towards)}};
        if (drawing.still) object["still"] = frame_json(*drawing.still);
        return object;
    }
    Json operator()(const meet::FloorCall& call) const {
        Json object{{"run", call.run.value},
                    {"station", call.station},
                    {"call", word_for(kCallWords, call.call)},
                    {"judge", sealed_text(call.judge)},
                    {"under_appeal", call.under_appeal}};
        add_call_members(object, call);
        return object;
    }
    Json operator()(const meet::SigningKey& key) const { return record_json(key); }
    Json operator()(const meet::Seal& seal) const { return record_json(seal); }
    Json operator()(const meet::Cover& cover) const { return record_json(cover); }
    Json operator()(const meet::CameraLens& lens) const { return camera_json(lens); }
    Json operator()(const meet::CameraStand& stand) const { return camera_json(stand); }
    Json operator()(const meet::Tester& tester) const { return testing_json(tester); }
    Json operator()(const meet::RigState& rig) const { return testing_json(rig); }
    Json operator()(const meet::Trial& trial) const { return testing_json(trial); }
    Json operator()(const meet::Closing& closing) const { return testing_json(closing); }
    Json operator()(const meet::Release& release) const { return testing_json(release); }
    Json operator()(const meet::CoachNote& note) const { return testing_json(note); }
    template <class Thing>
    Json operator()(const Thing& thing) const {
        return competition_json(thing);
    }
};

// Reading

bool is_null(const Members& members, const std::string& name) {
    return members.required(name).is_null();
}

std::optional<FrameRef> read_frame_or_none(const Members& parent, const std::string& name) {
    if (is_null(parent, name)) return std::nullopt;
    return read_frame(parent, name);
}

meet::Event read_event(const Json& value, const std::string& path) {
    const Members members(
        value, path, {"event", "part", "surface", "plane", "direction", "grade", "signal", "infraction"});
    meet::Event event;
    event.kind = read_word(members, "event", kEventWords);
    if (!is_null(members, "part")) event.part = read_word(members, "part", kPartWords);
    event.surface = members.text("surface");
    event.plane = members.text("plane");
    event.direction = read_word(members, "direction", kDirectionWords);
    event.grade = read_word(members, "grade", kGradeWords);
    event.signal = read_word(members, "signal", kSignalWords);
    event.infraction = read_word(members, "infraction", kInfractionWords);
    return event;
}

meet::Sighting read_sighting(const Json& value, const std::string& path) {
    const Members members(value, path, {"clip", "early", "late"});
    return {meet::ClipId{members.whole_number("clip")}, read_frame_or_none(members, "early"),
            read_frame_or_none(members, "late")};
}

meet::Entity read_info(const Json& value, const std::string& path) {
    const Members members(value, path, {"name", "venue", "date"});
    return meet::MeetInfo{members.text("name"), members.text("venue"), members.text("date")};
}

meet::Entity read_athlete(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"number", "name", "club", "division", "born", "category", "consent"});
    meet::Athlete athlete{meet::AthleteId{id}, members.text("number"), read_sealed(members, "name"),
                          read_sealed(members, "club"), members.text("division")};
    read_person_members(members, athlete);
    return athlete;
}

meet::Entity read_book(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"file_name", "text", "path"});
    meet::BookRevision book{meet::BookId{id}, read_sealed(members, "file_name"), members.text("text"), {}};
    if (members.has("path")) book.path = read_sealed(members, "path");
    return book;
}

meet::Entity read_clip(std::int64_t id, const Json& value, const std::string& path) {
    std::vector<std::string> known{"name",         "relative_path", "last_known_path", "fingerprint",
                                   "frame_count",  "time_base_num", "time_base_den",   "row_delay_ns",
                                   "video_stream", "sound_stream",  "content",         "picture"};
    known.insert(known.end(), capture_members().begin(), capture_members().end());
    const Members members(value, path, known);
    meet::Clip clip;
    clip.id = meet::ClipId{id};
    clip.name = read_sealed(members, "name");
    clip.relative_path = read_sealed(members, "relative_path");
    clip.last_known_path = read_sealed(members, "last_known_path");
    clip.fingerprint = members.text("fingerprint");
    clip.frame_count = members.whole_number("frame_count");
    clip.time_base = {members.long_number("time_base_num"), members.long_number("time_base_den")};
    if (!is_null(members, "row_delay_ns"))
        clip.row_delay = base::Duration{members.long_number("row_delay_ns")};
    read_capture_members(members, clip);
    read_stream_members(members, clip);
    read_content_member(members, clip);
    read_picture_member(members, clip);
    return clip;
}

meet::Entity read_run(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(
        value, path,
        {"athlete", "book", "label", "clips", "question", "division", "lane", "entry", "rerun_of"});
    meet::Run run;
    run.id = meet::RunId{id};
    run.athlete = meet::AthleteId{read_id_or_none(members, "athlete")};
    run.book = meet::BookId{read_id_or_none(members, "book")};
    run.label = read_sealed(members, "label");
    run.clips = read_each<meet::ClipId>(members, "clips", [](const Json& item, const std::string& where) {
        return meet::ClipId{read_whole_number(item, where)};
    });
    run.question = read_sealed(members, "question");
    read_course_members(members, run);
    read_entry_members(members, run);
    return run;
}

meet::Entity read_mark(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(
        value, path, {"run", "alternatives", "possible", "sightings", "note", "spot", "pointed", "measured"});
    meet::Mark mark;
    mark.id = meet::MarkId{id};
    mark.run = meet::RunId{members.whole_number("run")};
    mark.alternatives = read_each<meet::Event>(members, "alternatives", read_event);
    mark.possible = members.flag("possible");
    mark.sightings = read_each<meet::Sighting>(members, "sightings", read_sighting);
    mark.note = read_sealed(members, "note");
    mark.spot = read_point_or_none(members, "spot");
    read_measured_members(members, mark);
    return mark;
}

meet::Entity read_contact(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"run", "clip", "frame", "part", "surface", "on"});
    meet::ContactStatement contact;
    contact.id = meet::MarkId{id};
    contact.run = meet::RunId{members.whole_number("run")};
    contact.clip = meet::ClipId{members.whole_number("clip")};
    contact.frame = read_frame(members, "frame");
    contact.part = read_word(members, "part", kPartWords);
    contact.surface = members.text("surface");
    contact.on = members.flag("on");
    return contact;
}

meet::Entity read_watched(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"run", "clip", "from", "to", "whole_athlete", "surfaces", "planes", "finish"});
    meet::WatchedSpan span;
    span.id = meet::MarkId{id};
    span.run = meet::RunId{members.whole_number("run")};
    span.clip = meet::ClipId{members.whole_number("clip")};
    span.from = read_frame(members, "from");
    span.to = read_frame(members, "to");
    span.scope.whole_athlete = members.flag("whole_athlete");
    span.scope.surfaces = read_each<std::string>(members, "surfaces", read_text);
    span.scope.planes = read_each<std::string>(members, "planes", read_text);
    span.scope.finish_signal = members.flag("finish");
    return span;
}

meet::Entity read_drawing(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"clip", "kind", "key", "points", "towards", "still"});
    meet::Drawing drawing;
    drawing.id = meet::DrawingId{id};
    drawing.clip = meet::ClipId{members.whole_number("clip")};
    drawing.kind = read_word(members, "kind", kDrawingWords);
    drawing.key = members.text("key");
    drawing.points = read_each<std::array<double, 2>>(members, "points", read_point);
    drawing.towards = read_point_or_none(members, "towards");
    if (members.has("still")) drawing.still = read_frame(members, "still");
    return drawing;
}

meet::Entity read_floor_call(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"run", "station", "call", "judge", "under_appeal", "at_ms", "points"});
    meet::FloorCall call;
    call.id = meet::FloorCallId{id};
    call.run = meet::RunId{members.whole_number("run")};
    call.station = members.text("station");
    call.call = read_word(members, "call", kCallWords);
    call.judge = read_sealed(members, "judge");
    call.under_appeal = members.flag("under_appeal");
    read_call_members(members, call);
    return call;
}

}  // namespace

Json to_json(const meet::Entity& sealed) {
    return std::visit(Writer{}, sealed);
}

meet::Entity entity_from_json(meet::EntityKey key, const Json& value, const std::string& path) {
    using meet::Kind;
    switch (key.kind) {
        case Kind::meet_info:
            return read_info(value, path);
        case Kind::athlete:
            return read_athlete(key.id, value, path);
        case Kind::book:
            return read_book(key.id, value, path);
        case Kind::clip:
            return read_clip(key.id, value, path);
        case Kind::run:
            return read_run(key.id, value, path);
        case Kind::mark:
            return read_mark(key.id, value, path);
        case Kind::contact:
            return read_contact(key.id, value, path);
        case Kind::watched:
            return read_watched(key.id, value, path);
        case Kind::drawing:
            return read_drawing(key.id, value, path);
        case Kind::floor_call:
            return read_floor_call(key.id, value, path);
        case Kind::key:
            return read_key(key.id, value, path);
        case Kind::seal:
            return read_seal(key.id, value, path);
        case Kind::cover:
            return read_cover(key.id, value, path);
        case Kind::lens:
            return read_lens(key.id, value, path);
        case Kind::stand:
            return read_stand(key.id, value, path);
        case Kind::tester:
        case Kind::rig:
        case Kind::trial:
        case Kind::closing:
        case Kind::release:
        case Kind::coach_note:
            return testing_from_json(key, value, path);
        default:
            return competition_from_json(key, value, path);
    }
}

}  // namespace plumbmark::store
