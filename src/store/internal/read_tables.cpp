#include <iterator>
#include <map>

#include "base/worded.h"
#include "store/internal/camera_rows.h"
#include "store/internal/capture_json.h"
#include "store/internal/clip_content.h"
#include "store/internal/clip_picture.h"
#include "store/internal/clip_streams.h"
#include "store/internal/competition_rows.h"
#include "store/internal/course_rows.h"
#include "store/internal/table_values.h"
#include "store/internal/tables.h"

namespace plumbmark::store {
namespace {

using base::worded;

using SQLite::Statement;

using Things = std::vector<meet::Entity>;

void read_small(Sql& sql, Things& things) {
    sql.rows("SELECT name, venue, date, id FROM meet", [&](Statement& row) {
        if (!things.empty() || whole(row, 3) != 0)
            fail_at(worded("table {}", "meet"), worded("it has one row, whose id is 0"));
        things.emplace_back(meet::MeetInfo{text(row, 0), text(row, 1), text(row, 2)});
    });
    auto persons = read_person_rows(sql);
    sql.rows("SELECT id, number, name, club, division FROM athlete ORDER BY id", [&](Statement& row) {
        meet::Athlete athlete{meet::AthleteId{whole(row, 0)}, text(row, 1), text(row, 2), text(row, 3),
                              text(row, 4)};
        if (const auto person = persons.take(athlete.id)) {
            athlete.born = person->born;
            athlete.category = person->category;
            athlete.consent = person->consent;
        }
        things.emplace_back(std::move(athlete));
    });
    persons.require_all_taken();
    auto paths = read_path_rows(sql);
    sql.rows("SELECT id, file_name, text FROM book ORDER BY id", [&](Statement& row) {
        const meet::BookId id{whole(row, 0)};
        things.emplace_back(
            meet::BookRevision{id, text(row, 1), text(row, 2), paths.take(id).value_or(std::string())});
    });
    paths.require_all_taken();
}

void read_clips(Sql& sql, Things& things) {
    auto streams = read_stream_rows(sql);
    auto contents = read_content_rows(sql);
    auto pictures = read_picture_rows(sql);
    const char* query =
        "SELECT id, name, relative_path, last_known_path, fingerprint, frame_count, time_base_num, "
        "time_base_den, "
        "row_delay_ns, capture_time_known FROM clip ORDER BY id";
    std::vector<meet::Clip> clips;
    std::vector<bool> capture_known;
    sql.rows(query, [&](Statement& row) {
        meet::Clip clip;
        clip.id = meet::ClipId{whole(row, 0)};
        clip.name = text(row, 1);
        clip.relative_path = text(row, 2);
        clip.last_known_path = text(row, 3);
        clip.fingerprint = text(row, 4);
        clip.frame_count = whole(row, 5);
        clip.time_base = {whole(row, 6), whole(row, 7)};
        if (!null(row, 8)) clip.row_delay = base::Duration{whole(row, 8)};
        capture_known.push_back(flag(row, 9));
        clip.streams = streams.take(clip.id).value_or(meet::StreamChoice{});
        clip.content = contents.take(clip.id);
        clip.picture = pictures.take(clip.id);
        clips.push_back(std::move(clip));
    });
    streams.require_all_taken();
    contents.require_all_taken();
    pictures.require_all_taken();
    read_capture_rows(sql, clips, capture_known);
    things.insert(things.end(), std::make_move_iterator(clips.begin()), std::make_move_iterator(clips.end()));
}

void read_runs(Sql& sql, Things& things) {
    Parts<meet::ClipId> clips(sql, "run_clip",
                              "SELECT run, position, clip FROM run_clip ORDER BY run, position",
                              [](Statement& row) { return meet::ClipId{whole(row, 2)}; });
    auto courses = read_course_rows(sql);
    auto entries = read_entry_rows(sql);
    sql.rows("SELECT id, athlete, book, label, question FROM run ORDER BY id", [&](Statement& row) {
        meet::Run run;
        run.id = meet::RunId{whole(row, 0)};
        run.athlete = meet::AthleteId{id_or_none(row, 1)};
        run.book = meet::BookId{id_or_none(row, 2)};
        run.label = text(row, 3);
        run.question = text(row, 4);
        run.clips = clips.take(run.id.value);
        if (auto course = courses.take(run.id)) {
            run.division = std::move(course->division);
            run.lane = std::move(course->lane);
        }
        if (const auto its = entries.take(run.id)) {
            run.entry = its->entry;
            run.rerun_of = its->rerun_of;
        }
        things.emplace_back(std::move(run));
    });
    courses.require_all_taken();
    entries.require_all_taken();
    clips.require_all_taken();
}

meet::Event read_event(Statement& row) {
    meet::Event event;
    event.kind = word(row, 2, kEventWords, "mark_event");
    if (!null(row, 3)) event.part = word(row, 3, kPartWords, "mark_event");
    event.surface = text(row, 4);
    event.plane = text(row, 5);
    event.direction = word(row, 6, kDirectionWords, "mark_event");
    event.grade = word(row, 7, kGradeWords, "mark_event");
    event.signal = word(row, 8, kSignalWords, "mark_event");
    event.infraction = word(row, 9, kInfractionWords, "mark_event");
    return event;
}

void read_marks_table(Sql& sql, Things& things) {
    Parts<meet::Event> events(sql, "mark_event",
                              "SELECT mark, position, event, part, surface, plane, direction, grade, signal, "
                              "infraction FROM mark_event ORDER BY mark, position",
                              read_event);
    Parts<meet::Sighting> sightings(
        sql, "mark_sighting",
        "SELECT mark, position, clip, early_number, early_pts, late_number, late_pts "
        "FROM mark_sighting ORDER BY mark, position",
        [](Statement& row) {
            return meet::Sighting{meet::ClipId{whole(row, 2)}, frame_or_none(row, 3), frame_or_none(row, 5)};
        });
    auto pointed = read_pointed_rows(sql);
    const std::string measured = measured_columns(sql);
    const std::string query =
        "SELECT id, run, possible, note, spot_x, spot_y" + measured + " FROM mark ORDER BY id";
    sql.rows(query, [&](Statement& row) {
        meet::Mark mark;
        mark.id = meet::MarkId{whole(row, 0)};
        mark.run = meet::RunId{whole(row, 1)};
        mark.possible = flag(row, 2);
        mark.note = text(row, 3);
        mark.spot = point_or_none(row, 4);
        mark.alternatives = events.take(mark.id.value);
        mark.sightings = sightings.take(mark.id.value);
        mark.pointed = pointed.take(mark.id.value);
        if (!measured.empty()) mark.measured = measured_or_none(row, 6);
        things.emplace_back(std::move(mark));
    });
    events.require_all_taken();
    sightings.require_all_taken();
    pointed.require_all_taken();
}

void read_contacts(Sql& sql, Things& things) {
    const char* query =
        "SELECT id, run, clip, frame_number, frame_pts, part, surface, is_on FROM contact ORDER BY id";
    sql.rows(query, [&](Statement& row) {
        meet::ContactStatement contact;
        contact.id = meet::MarkId{whole(row, 0)};
        contact.run = meet::RunId{whole(row, 1)};
        contact.clip = meet::ClipId{whole(row, 2)};
        contact.frame = {whole(row, 3), whole(row, 4)};
        contact.part = word(row, 5, kPartWords, "contact");
        contact.surface = text(row, 6);
        contact.on = flag(row, 7);
        things.emplace_back(std::move(contact));
    });
}

Parts<std::string> watched_parts(Sql& sql, const std::string& kind) {
    return {sql, "watched_part",
            "SELECT watched, position, key FROM watched_part WHERE kind = '" + kind +
                "' ORDER BY watched, position",
            [](Statement& row) { return text(row, 2); }};
}

void read_watched(Sql& sql, Things& things) {
    Parts<std::string> surfaces = watched_parts(sql, "surface");
    Parts<std::string> planes = watched_parts(sql, "plane");
    const char* query =
        "SELECT id, run, clip, from_number, from_pts, to_number, to_pts, whole_athlete, finish FROM watched "
        "ORDER BY id";
    sql.rows(query, [&](Statement& row) {
        meet::WatchedSpan span;
        span.id = meet::MarkId{whole(row, 0)};
        span.run = meet::RunId{whole(row, 1)};
        span.clip = meet::ClipId{whole(row, 2)};
        span.from = {whole(row, 3), whole(row, 4)};
        span.to = {whole(row, 5), whole(row, 6)};
        span.scope = {flag(row, 7), surfaces.take(span.id.value), planes.take(span.id.value), flag(row, 8)};
        things.emplace_back(std::move(span));
    });
    surfaces.require_all_taken();
    planes.require_all_taken();
}

constexpr std::int64_t kFirstVersionWithStills = 9;

void read_drawings(Sql& sql, Things& things) {
    RowsBeside<meet::DrawingId, meet::FrameRef> stills(
        sql, kFirstVersionWithStills, "drawing_still", "drawing", "frame_number, frame_pts",
        [](Statement& row) {
            return meet::FrameRef{whole(row, 1), whole(row, 2)};
        });
    Parts<std::array<double, 2>> points(
        sql, "drawing_point", "SELECT drawing, position, x, y FROM drawing_point ORDER BY drawing, position",
        [](Statement& row) { return point(row, 2); });
    sql.rows("SELECT id, clip, kind, key, towards_x, towards_y FROM drawing ORDER BY id",
             [&](Statement& row) {
                 meet::Drawing drawing;
                 drawing.id = meet::DrawingId{whole(row, 0)};
                 drawing.clip = meet::ClipId{whole(row, 1)};
                 drawing.kind = word(row, 2, kDrawingWords, "drawing");
                 drawing.key = text(row, 3);
                 drawing.towards = point_or_none(row, 4);
                 drawing.points = points.take(drawing.id.value);
                 drawing.still = stills.take(drawing.id);
                 things.emplace_back(std::move(drawing));
             });
    points.require_all_taken();
    stills.require_all_taken();
}

void read_floor_calls(Sql& sql, Things& things) {
    auto more = read_call_rows(sql);
    sql.rows("SELECT id, run, station, call, judge, under_appeal FROM floor_call ORDER BY id",
             [&](Statement& row) {
                 meet::FloorCall call;
                 call.id = meet::FloorCallId{whole(row, 0)};
                 call.run = meet::RunId{whole(row, 1)};
                 call.station = text(row, 2);
                 call.call = word(row, 3, kCallWords, "floor_call");
                 call.judge = text(row, 4);
                 call.under_appeal = flag(row, 5);
                 if (const auto its = more.take(call.id)) {
                     call.at = its->at;
                     call.points = its->points;
                 }
                 things.emplace_back(std::move(call));
             });
    more.require_all_taken();
}

}  // namespace

TablesContent read_tables(Sql& sql) {
    TablesContent content = read_typed_tables(sql);
    read_json_rows(sql, content.things);
    return content;
}

TablesContent read_typed_tables(Sql& sql) {
    TablesContent content;
    sql.rows("SELECT kind, id FROM last_used", [&](Statement& row) {
        const auto kind = meet::kind_from_word(text(row, 0));
        if (!kind)
            fail_at(worded("table {}, kind {}", "last_used", text(row, 0)),
                    worded("this kind of thing is not known"));
        content.last_used_ids.at(static_cast<std::size_t>(*kind)) = whole(row, 1);
    });
    read_small(sql, content.things);
    read_clips(sql, content.things);
    read_runs(sql, content.things);
    read_marks_table(sql, content.things);
    read_contacts(sql, content.things);
    read_watched(sql, content.things);
    read_drawings(sql, content.things);
    read_floor_calls(sql, content.things);
    read_camera_rows(sql, content.things);
    return content;
}

}  // namespace plumbmark::store
