#include "store/internal/camera_rows.h"
#include "store/internal/capture_json.h"
#include "store/internal/clip_content.h"
#include "store/internal/clip_picture.h"
#include "store/internal/clip_streams.h"
#include "store/internal/competition_rows.h"
#include "store/internal/course_rows.h"
#include "store/internal/tables.h"
#include "store/internal/upsert.h"
#include "store/internal/words.h"

namespace plumbmark::store {
namespace {

using Whole = std::optional<std::int64_t>;

Whole id_or_null(std::int64_t id) {
    return id < 0 ? Whole{} : Whole{id};
}
Whole number_of(const std::optional<meet::FrameRef>& frame) {
    return frame ? Whole{frame->number} : Whole{};
}
Whole pts_of(const std::optional<meet::FrameRef>& frame) {
    return frame ? Whole{frame->pts} : Whole{};
}

std::optional<double> coordinate(const std::optional<std::array<double, 2>>& point, std::size_t axis) {
    if (!point) return std::nullopt;
    return (*point)[axis];
}

std::int64_t as_id(std::size_t position) {
    return static_cast<std::int64_t>(position);
}

struct Writer {
    Sql& sql;

    void operator()(const meet::MeetInfo& info) const {
        static const std::string kText = upsert("meet", {"name", "venue", "date"});
        sql.run(kText, std::int64_t{0}, info.name, info.venue, info.date);
    }
    void operator()(const meet::Athlete& athlete) const {
        static const std::string kText = upsert("athlete", {"number", "name", "club", "division"});
        sql.run(kText, athlete.id.value, athlete.number, hash_or_null(athlete.name),
                hash_or_null(athlete.club), athlete.division);
        write_person_row(sql, athlete);
    }
    void operator()(const meet::BookRevision& book) const {
        static const std::string kText = upsert("book", {"file_name", "text"});
        sql.run(kText, book.id.value, hash_or_null(book.file_name), book.text);
        write_path_row(sql, book);
    }
    void operator()(const meet::Clip& clip) const {
        static const std::string kText =
            upsert("clip", {"name", "relative_path", "last_known_path", "fingerprint", "frame_count",
                            "time_base_num", "time_base_den", "row_delay_ns", "capture_time_known"});
        sql.run(kText, clip.id.value, hash_or_null(clip.name), hash_or_null(clip.relative_path),
                hash_or_null(clip.last_known_path), clip.fingerprint, clip.frame_count, clip.time_base.num,
                clip.time_base.den, clip.row_delay ? Whole{clip.row_delay->ns} : Whole{},
                capture_time_known(clip));
        write_capture_rows(sql, clip);
        write_stream_row(sql, clip);
        write_content_row(sql, clip);
        write_picture_row(sql, clip);
    }
    void operator()(const meet::Run& run) const {
        static const std::string kText = upsert("run", {"athlete", "book", "label", "question"});
        sql.run(kText, run.id.value, id_or_null(run.athlete.value), id_or_null(run.book.value),
                hash_or_null(run.label), hash_or_null(run.question));
        sql.run("DELETE FROM run_clip WHERE run = ?", run.id.value);
        for (std::size_t i = 0; i < run.clips.size(); ++i)
            sql.run("INSERT INTO run_clip VALUES (?, ?, ?)", run.id.value, as_id(i), run.clips[i].value);
        write_course_row(sql, run);
        write_entry_row(sql, run);
    }
    void operator()(const meet::Mark& mark) const {
        static const std::string kText =
            upsert("mark", {"run", "possible", "note", "spot_x", "spot_y", "measured_clip", "measured_number",
                            "measured_pts", "measured_from_ns", "measured_to_ns"});
        const auto& measured = mark.measured;
        sql.run(kText, mark.id.value, mark.run.value, mark.possible, hash_or_null(mark.note),
                coordinate(mark.spot, 0), coordinate(mark.spot, 1),
                measured ? Whole{measured->clip.value} : Whole{},
                measured ? Whole{measured->frame.number} : Whole{},
                measured ? Whole{measured->frame.pts} : Whole{},
                measured ? Whole{measured->from.ns} : Whole{}, measured ? Whole{measured->to.ns} : Whole{});
        sql.run("DELETE FROM mark_event WHERE mark = ?", mark.id.value);
        for (std::size_t i = 0; i < mark.alternatives.size(); ++i)
            event(mark.id.value, i, mark.alternatives[i]);
        sql.run("DELETE FROM mark_sighting WHERE mark = ?", mark.id.value);
        for (std::size_t i = 0; i < mark.sightings.size(); ++i) {
            const meet::Sighting& sighting = mark.sightings[i];
            sql.run("INSERT INTO mark_sighting VALUES (?, ?, ?, ?, ?, ?, ?)", mark.id.value, as_id(i),
                    sighting.clip.value, number_of(sighting.early), pts_of(sighting.early),
                    number_of(sighting.late), pts_of(sighting.late));
        }
        write_pointed_rows(sql, mark);
    }
    void event(std::int64_t mark, std::size_t position, const meet::Event& event) const {
        std::optional<std::string> part;
        if (event.part) part = word_for(kPartWords, *event.part);
        sql.run("INSERT INTO mark_event VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", mark, as_id(position),
                word_for(kEventWords, event.kind), part, event.surface, event.plane,
                word_for(kDirectionWords, event.direction), word_for(kGradeWords, event.grade),
                word_for(kSignalWords, event.signal), word_for(kInfractionWords, event.infraction));
    }
    void operator()(const meet::ContactStatement& contact) const {
        static const std::string kText =
            upsert("contact", {"run", "clip", "frame_number", "frame_pts", "part", "surface", "is_on"});
        sql.run(kText, contact.id.value, contact.run.value, contact.clip.value, contact.frame.number,
                contact.frame.pts, word_for(kPartWords, contact.part), contact.surface, contact.on);
    }
    void operator()(const meet::WatchedSpan& span) const {
        static const std::string kText = upsert(
            "watched",
            {"run", "clip", "from_number", "from_pts", "to_number", "to_pts", "whole_athlete", "finish"});
        sql.run(kText, span.id.value, span.run.value, span.clip.value, span.from.number, span.from.pts,
                span.to.number, span.to.pts, span.scope.whole_athlete, span.scope.finish_signal);
        sql.run("DELETE FROM watched_part WHERE watched = ?", span.id.value);
        parts(span.id.value, "surface", span.scope.surfaces);
        parts(span.id.value, "plane", span.scope.planes);
    }
    void parts(std::int64_t watched, const std::string& kind, const std::vector<std::string>& keys) const {
        for (std::size_t i = 0; i < keys.size(); ++i)
            sql.run("INSERT INTO watched_part VALUES (?, ?, ?, ?)", watched, kind, as_id(i), keys[i]);
    }
    void operator()(const meet::Drawing& drawing) const {
        static const std::string kText = upsert("drawing", {"clip", "kind", "key", "towards_x", "towards_y"});
        sql.run(kText, drawing.id.value, drawing.clip.value, word_for(kDrawingWords, drawing.kind),
                drawing.key, coordinate(drawing.towards, 0), coordinate(drawing.towards, 1));
        sql.run("DELETE FROM drawing_point WHERE drawing = ?", drawing.id.value);
        for (std::size_t i = 0; i < drawing.points.size(); ++i)
            sql.run("INSERT INTO drawing_point VALUES (?, ?, ?, ?)", drawing.id.value, as_id(i),
                    drawing.points[i][0], drawing.points[i][1]);
        sql.run("DELETE FROM drawing_still WHERE drawing = ?", drawing.id.value);
        if (drawing.still)
            sql.run("INSERT INTO drawing_still VALUES (?, ?, ?)", drawing.id.value, drawing.still->number,
                    drawing.still->pts);
    }
    void operator()(const meet::FloorCall& call) const {
        static const std::string kText =
            upsert("floor_call", {"run", "station", "call", "judge", "under_appeal"});
        sql.run(kText, call.id.value, call.run.value, call.station, word_for(kCallWords, call.call),
                hash_or_null(call.judge), call.under_appeal);
        write_call_row(sql, call);
    }
    void operator()(const meet::CameraLens& lens) const { write_lens_row(sql, lens); }
    void operator()(const meet::CameraStand& stand) const { write_stand_rows(sql, stand); }
    template <class Thing>
    void operator()(const Thing& thing) const {
        write_json_row(sql, thing);
    }
};

// The tables whose rows belong to a thing of this kind.
std::vector<std::pair<std::string, std::string>> parts_of(meet::Kind kind) {
    switch (kind) {
        case meet::Kind::athlete:
            return {{"athlete_person", "athlete"}};
        case meet::Kind::floor_call:
            return {{"floor_call_more", "floor_call"}};
        case meet::Kind::clip:
            return {{"clip_stream", "clip"}, {"clip_content", "clip"}, {"clip_picture", "clip"}};
        case meet::Kind::run:
            return {{"run_clip", "run"}, {"run_course", "run"}, {"run_entry", "run"}};
        case meet::Kind::book:
            return {{"book_path", "book"}};
        case meet::Kind::mark:
            return {{"mark_event", "mark"}, {"mark_sighting", "mark"}, {"mark_pointed", "mark"}};
        case meet::Kind::watched:
            return {{"watched_part", "watched"}};
        case meet::Kind::drawing:
            return {{"drawing_point", "drawing"}, {"drawing_still", "drawing"}};
        case meet::Kind::stand:
            return {{"stand_point", "stand"}, {"stand_edge_point", "stand"}, {"stand_edge", "stand"}};
        default:
            return {};
    }
}

}  // namespace

void write_thing(Sql& sql, const meet::Entity& sealed) {
    std::visit(Writer{sql}, sealed);
}

void remove_thing(Sql& sql, meet::EntityKey key) {
    if (is_kept_as_json(key.kind)) return remove_json_row(sql, key);
    if (key.kind == meet::Kind::clip) remove_capture_rows(sql, key.id);
    for (const auto& [table, column] : parts_of(key.kind))
        sql.run("DELETE FROM " + table + " WHERE " + column + " = ?", key.id);
    sql.run(std::string("DELETE FROM ") + meet::kind_word(key.kind) + " WHERE id = ?", key.id);
}

void write_last_used_ids(Sql& sql, const meet::IdsByKind& ids) {
    for (std::size_t i = 0; i < ids.size(); ++i) {
        const std::string kind = meet::kind_word(static_cast<meet::Kind>(i));
        sql.run(
            "INSERT INTO last_used VALUES (?, ?) ON CONFLICT (kind) DO UPDATE SET id = excluded.id "
            "WHERE id <> excluded.id",
            kind, ids[i]);
    }
}

}  // namespace plumbmark::store
