#include "store/internal/schema.h"

#include <array>
#include <map>

#include "base/worded.h"

namespace plumbmark::store {
namespace {

constexpr const char* kVersion1 = R"sql(
CREATE TABLE file (
    id INTEGER PRIMARY KEY CHECK (id = 0),
    meet TEXT NOT NULL CHECK (length(meet) = 32)
) STRICT;
CREATE TABLE journal (
    number INTEGER PRIMARY KEY CHECK (number >= 1),
    previous TEXT NOT NULL CHECK (length(previous) = 64),
    json TEXT NOT NULL,
    sha256 TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT;
CREATE TRIGGER journal_grows_at_its_end BEFORE INSERT ON journal
WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM journal)
BEGIN SELECT raise(ABORT, 'the journal only grows at its end'); END;
CREATE TRIGGER journal_is_never_changed BEFORE UPDATE ON journal
BEGIN SELECT raise(ABORT, 'rows of the journal are never changed'); END;
CREATE TRIGGER journal_is_never_shortened BEFORE DELETE ON journal
BEGIN SELECT raise(ABORT, 'rows of the journal are never removed'); END;
CREATE TABLE apart (
    hash TEXT PRIMARY KEY CHECK (length(hash) = 64),
    salt BLOB CHECK (length(salt) = 32),
    value TEXT,
    CHECK ((salt IS NULL) = (value IS NULL))
) STRICT, WITHOUT ROWID;
CREATE TRIGGER apart_is_only_erased BEFORE UPDATE ON apart
WHEN NEW.hash <> OLD.hash OR NEW.salt IS NOT NULL OR NEW.value IS NOT NULL
BEGIN SELECT raise(ABORT, 'a personal value can only be erased'); END;
CREATE TRIGGER apart_keeps_its_hashes BEFORE DELETE ON apart
BEGIN SELECT raise(ABORT, 'the hash of a personal value stays'); END;
CREATE TABLE last_used (
    kind TEXT PRIMARY KEY,
    id INTEGER NOT NULL CHECK (id >= 0)
) STRICT, WITHOUT ROWID;
CREATE TABLE meet (
    id INTEGER PRIMARY KEY CHECK (id = 0),
    name TEXT NOT NULL,
    venue TEXT NOT NULL,
    date TEXT NOT NULL
) STRICT;
CREATE TABLE athlete (
    id INTEGER PRIMARY KEY,
    number TEXT NOT NULL,
    name TEXT REFERENCES apart (hash),
    club TEXT REFERENCES apart (hash),
    division TEXT NOT NULL
) STRICT;
CREATE TABLE book (
    id INTEGER PRIMARY KEY,
    file_name TEXT REFERENCES apart (hash),
    text TEXT NOT NULL
) STRICT;
CREATE TABLE clip (
    id INTEGER PRIMARY KEY,
    name TEXT REFERENCES apart (hash),
    relative_path TEXT REFERENCES apart (hash),
    last_known_path TEXT REFERENCES apart (hash),
    fingerprint TEXT NOT NULL,
    frame_count INTEGER NOT NULL CHECK (frame_count >= 0),
    time_base_num INTEGER NOT NULL CHECK (time_base_num >= 0),
    time_base_den INTEGER NOT NULL CHECK (time_base_den > 0),
    row_delay_ns INTEGER CHECK (row_delay_ns >= 0),
    capture_time_known INTEGER NOT NULL CHECK (capture_time_known IN (0, 1))
) STRICT;
CREATE TABLE run (
    id INTEGER PRIMARY KEY,
    athlete INTEGER REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    book INTEGER REFERENCES book (id) DEFERRABLE INITIALLY DEFERRED,
    label TEXT REFERENCES apart (hash),
    question TEXT REFERENCES apart (hash)
) STRICT;
CREATE TABLE run_clip (
    run INTEGER NOT NULL REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    PRIMARY KEY (run, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE mark (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    possible INTEGER NOT NULL CHECK (possible IN (0, 1)),
    note TEXT REFERENCES apart (hash),
    spot_x REAL,
    spot_y REAL,
    CHECK ((spot_x IS NULL) = (spot_y IS NULL))
) STRICT;
CREATE TABLE mark_event (
    mark INTEGER NOT NULL REFERENCES mark (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    event TEXT NOT NULL CHECK (event IN ('touch', 'release', 'cross', 'signal', 'infraction', 'control')),
    part TEXT CHECK (part IN ('left_hand', 'right_hand', 'left_foot', 'right_foot', 'other', 'loose')),
    surface TEXT NOT NULL,
    plane TEXT NOT NULL,
    direction TEXT NOT NULL CHECK (direction IN ('forward', 'back')),
    grade TEXT NOT NULL CHECK (grade IN ('ungraded', 'brush', 'weight')),
    signal TEXT NOT NULL CHECK (signal IN ('start', 'finish', 'over')),
    infraction TEXT NOT NULL CHECK (infraction IN ('assistance', 'false_start', 'lack_of_control')),
    PRIMARY KEY (mark, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE mark_sighting (
    mark INTEGER NOT NULL REFERENCES mark (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    early_number INTEGER CHECK (early_number >= 0),
    early_pts INTEGER,
    late_number INTEGER CHECK (late_number > coalesce(early_number, -1)),
    late_pts INTEGER,
    PRIMARY KEY (mark, position),
    CHECK ((early_number IS NULL) = (early_pts IS NULL)),
    CHECK ((late_number IS NULL) = (late_pts IS NULL))
) STRICT, WITHOUT ROWID;
CREATE TABLE contact (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    frame_number INTEGER NOT NULL CHECK (frame_number >= 0),
    frame_pts INTEGER NOT NULL,
    part TEXT NOT NULL CHECK (part IN ('left_hand', 'right_hand', 'left_foot', 'right_foot', 'other', 'loose')),
    surface TEXT NOT NULL CHECK (surface <> ''),
    is_on INTEGER NOT NULL CHECK (is_on IN (0, 1))
) STRICT;
CREATE TABLE watched (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    from_number INTEGER NOT NULL CHECK (from_number >= 0),
    from_pts INTEGER NOT NULL,
    to_number INTEGER NOT NULL CHECK (to_number > from_number),
    to_pts INTEGER NOT NULL,
    whole_athlete INTEGER NOT NULL CHECK (whole_athlete IN (0, 1)),
    finish INTEGER NOT NULL CHECK (finish IN (0, 1))
) STRICT;
CREATE TABLE watched_part (
    watched INTEGER NOT NULL REFERENCES watched (id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL CHECK (kind IN ('surface', 'plane')),
    position INTEGER NOT NULL CHECK (position >= 0),
    key TEXT NOT NULL CHECK (key <> ''),
    PRIMARY KEY (watched, kind, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE drawing (
    id INTEGER PRIMARY KEY,
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL CHECK (kind IN ('surface', 'plane')),
    key TEXT NOT NULL CHECK (key <> ''),
    towards_x REAL,
    towards_y REAL,
    CHECK ((towards_x IS NULL) = (towards_y IS NULL))
) STRICT;
CREATE TABLE drawing_point (
    drawing INTEGER NOT NULL REFERENCES drawing (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    x REAL NOT NULL,
    y REAL NOT NULL,
    PRIMARY KEY (drawing, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE floor_call (
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    station TEXT NOT NULL CHECK (station <> ''),
    call TEXT NOT NULL CHECK (call IN ('clear', 'fail')),
    judge TEXT REFERENCES apart (hash),
    under_appeal INTEGER NOT NULL CHECK (under_appeal IN (0, 1))
) STRICT;
PRAGMA application_id = 1347177794;
PRAGMA user_version = 1;
)sql";

constexpr const char* kVersion2 = R"sql(
CREATE TABLE clip_stream (
    clip INTEGER PRIMARY KEY REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    video INTEGER CHECK (video >= 0),
    sound INTEGER CHECK (sound >= 0)
) STRICT;
PRAGMA user_version = 2;
)sql";

constexpr const char* kVersion3 = R"sql(
CREATE TABLE clip_content (
    clip INTEGER PRIMARY KEY REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
    changed_at_ns INTEGER NOT NULL
) STRICT;
PRAGMA user_version = 3;
)sql";

constexpr const char* kVersion4 = R"sql(
CREATE TABLE clip_capture (
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    from_number INTEGER NOT NULL CHECK (from_number >= 0),
    from_pts INTEGER NOT NULL,
    pace TEXT NOT NULL CHECK (pace IN ('as_shown', 'retimed', 'unknown')),
    recorded_num INTEGER NOT NULL CHECK (recorded_num >= 0),
    recorded_den INTEGER NOT NULL CHECK (recorded_den > 0),
    shown_num INTEGER NOT NULL CHECK (shown_num >= 0),
    shown_den INTEGER NOT NULL CHECK (shown_den > 0),
    PRIMARY KEY (clip, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE clip_slowed (
    clip INTEGER PRIMARY KEY REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    recorded_num INTEGER NOT NULL CHECK (recorded_num > 0),
    recorded_den INTEGER NOT NULL CHECK (recorded_den > 0),
    shown_num INTEGER NOT NULL CHECK (shown_num > 0),
    shown_den INTEGER NOT NULL CHECK (shown_den > 0)
) STRICT;
CREATE TABLE clip_looked_through (
    clip INTEGER PRIMARY KEY REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE clip_repeated (
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    first_number INTEGER NOT NULL CHECK (first_number >= 0),
    first_pts INTEGER NOT NULL,
    last_number INTEGER NOT NULL CHECK (last_number > first_number),
    is_exact INTEGER NOT NULL CHECK (is_exact IN (0, 1)),
    PRIMARY KEY (clip, position)
) STRICT, WITHOUT ROWID;
PRAGMA user_version = 4;
)sql";

constexpr const char* kVersion5 = R"sql(
CREATE TABLE run_course (
    run INTEGER PRIMARY KEY REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    division TEXT NOT NULL,
    lane TEXT NOT NULL,
    CHECK (division <> '' OR lane <> '')
) STRICT;
CREATE TABLE book_path (
    book INTEGER PRIMARY KEY REFERENCES book (id) DEFERRABLE INITIALLY DEFERRED,
    path TEXT NOT NULL REFERENCES apart (hash)
) STRICT;
PRAGMA user_version = 5;
)sql";

constexpr const char* kVersion6 = R"sql(
CREATE TABLE athlete_person (
    athlete INTEGER PRIMARY KEY REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    born TEXT REFERENCES apart (hash),
    category TEXT REFERENCES apart (hash),
    consent TEXT NOT NULL CHECK (consent IN ('unknown', 'given', 'refused'))
) STRICT;
CREATE TABLE run_entry (
    run INTEGER PRIMARY KEY REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    entry INTEGER CHECK (entry >= 0),
    rerun_of INTEGER REFERENCES run (id) DEFERRABLE INITIALLY DEFERRED,
    CHECK (entry IS NOT NULL OR rerun_of IS NOT NULL)
) STRICT;
CREATE TABLE floor_call_more (
    floor_call INTEGER PRIMARY KEY REFERENCES floor_call (id) DEFERRABLE INITIALLY DEFERRED,
    at_ms INTEGER CHECK (at_ms >= 0),
    points INTEGER CHECK (points >= 0),
    CHECK (at_ms IS NOT NULL OR points IS NOT NULL)
) STRICT;
CREATE TABLE thing (
    kind TEXT NOT NULL,
    id INTEGER NOT NULL CHECK (id >= 0),
    json TEXT NOT NULL,
    PRIMARY KEY (kind, id)
) STRICT, WITHOUT ROWID;
PRAGMA user_version = 6;
)sql";

// Keys, seals and covers are kept in table 'thing' like what came with version 6; a program of that version
// would not know them.
constexpr const char* kVersion7 = R"sql(
PRAGMA user_version = 7;
)sql";

// A mark may name a moment that clips share: its kind of event is allowed. SQLite changes no CHECK in place,
// so the table is made anew (https://www.sqlite.org/lang_altertable.html, 'Making Other Kinds Of Table Schema
// Changes').
constexpr const char* kVersion8 = R"sql(
CREATE TABLE mark_event_8 (
    mark INTEGER NOT NULL REFERENCES mark (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    event TEXT NOT NULL CHECK (event IN ('touch', 'release', 'cross', 'signal', 'infraction', 'control',
        'moment')),
    part TEXT CHECK (part IN ('left_hand', 'right_hand', 'left_foot', 'right_foot', 'other', 'loose')),
    surface TEXT NOT NULL,
    plane TEXT NOT NULL,
    direction TEXT NOT NULL CHECK (direction IN ('forward', 'back')),
    grade TEXT NOT NULL CHECK (grade IN ('ungraded', 'brush', 'weight')),
    signal TEXT NOT NULL CHECK (signal IN ('start', 'finish', 'over')),
    infraction TEXT NOT NULL CHECK (infraction IN ('assistance', 'false_start', 'lack_of_control')),
    PRIMARY KEY (mark, position)
) STRICT, WITHOUT ROWID;
INSERT INTO mark_event_8 SELECT * FROM mark_event;
DROP TABLE mark_event;
ALTER TABLE mark_event_8 RENAME TO mark_event;
PRAGMA user_version = 8;
)sql";

constexpr const char* kVersion9 = R"sql(
CREATE TABLE drawing_still (
    drawing INTEGER PRIMARY KEY REFERENCES drawing (id) DEFERRABLE INITIALLY DEFERRED,
    frame_number INTEGER NOT NULL CHECK (frame_number >= 0),
    frame_pts INTEGER NOT NULL
) STRICT;
PRAGMA user_version = 9;
)sql";

// What a mark was measured to be stands in columns of its own; of them all are there or none. A stand's frame
// is no UNIQUE of its clip: SQLite looks at those row by row, so that two stands could not change places in
// one change.
constexpr const char* kVersion10 = R"sql(
ALTER TABLE mark ADD COLUMN measured_clip INTEGER REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE mark ADD COLUMN measured_number INTEGER
    CHECK (measured_number >= 0) CHECK ((measured_number IS NULL) = (measured_clip IS NULL));
ALTER TABLE mark ADD COLUMN measured_pts INTEGER CHECK ((measured_pts IS NULL) = (measured_clip IS NULL));
ALTER TABLE mark ADD COLUMN measured_from_ns INTEGER
    CHECK (measured_from_ns >= 0) CHECK ((measured_from_ns IS NULL) = (measured_clip IS NULL));
ALTER TABLE mark ADD COLUMN measured_to_ns INTEGER
    CHECK (measured_to_ns >= measured_from_ns) CHECK ((measured_to_ns IS NULL) = (measured_clip IS NULL));
CREATE TABLE mark_pointed (
    mark INTEGER NOT NULL REFERENCES mark (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    frame_number INTEGER NOT NULL CHECK (frame_number >= 0),
    frame_pts INTEGER NOT NULL,
    x REAL NOT NULL,
    y REAL NOT NULL,
    followed_from INTEGER CHECK (followed_from >= 0),
    followed_standard REAL
        CHECK (followed_standard >= 0) CHECK ((followed_standard IS NULL) = (followed_from IS NULL)),
    PRIMARY KEY (mark, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE lens (
    id INTEGER PRIMARY KEY,
    camera TEXT NOT NULL CHECK (camera <> ''),
    width INTEGER NOT NULL CHECK (width BETWEEN 1 AND 1000000),
    height INTEGER NOT NULL CHECK (height BETWEEN 1 AND 1000000),
    fx REAL NOT NULL CHECK (fx > 0),
    fy REAL NOT NULL CHECK (fy > 0),
    cx REAL NOT NULL,
    cy REAL NOT NULL,
    skew REAL NOT NULL,
    k1 REAL NOT NULL,
    k2 REAL NOT NULL,
    p1 REAL NOT NULL,
    p2 REAL NOT NULL,
    k3 REAL NOT NULL,
    focal_standard REAL NOT NULL CHECK (focal_standard >= 0),
    principal_standard REAL NOT NULL CHECK (principal_standard >= 0),
    k1_standard REAL NOT NULL CHECK (k1_standard >= 0),
    source TEXT
) STRICT;
CREATE TABLE stand (
    id INTEGER PRIMARY KEY,
    clip INTEGER NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    still_number INTEGER NOT NULL CHECK (still_number >= 0),
    still_pts INTEGER NOT NULL,
    knowledge TEXT NOT NULL CHECK (knowledge IN ('measured', 'focal_length', 'focal_and_radial')),
    lens INTEGER REFERENCES lens (id) DEFERRABLE INITIALLY DEFERRED,
    CHECK ((knowledge = 'measured') = (lens IS NOT NULL))
) STRICT;
CREATE TABLE stand_point (
    stand INTEGER NOT NULL REFERENCES stand (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    kind TEXT NOT NULL CHECK (kind IN ('surface', 'plane')),
    key TEXT NOT NULL CHECK (key <> ''),
    corner INTEGER NOT NULL CHECK (corner >= 0),
    x REAL NOT NULL,
    y REAL NOT NULL,
    standard REAL NOT NULL CHECK (standard > 0),
    PRIMARY KEY (stand, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE stand_edge (
    stand INTEGER NOT NULL REFERENCES stand (id) DEFERRABLE INITIALLY DEFERRED,
    position INTEGER NOT NULL CHECK (position >= 0),
    from_kind TEXT NOT NULL CHECK (from_kind IN ('surface', 'plane')),
    from_key TEXT NOT NULL CHECK (from_key <> ''),
    from_corner INTEGER NOT NULL CHECK (from_corner >= 0),
    to_kind TEXT NOT NULL CHECK (to_kind IN ('surface', 'plane')),
    to_key TEXT NOT NULL CHECK (to_key <> ''),
    to_corner INTEGER NOT NULL CHECK (to_corner >= 0),
    standard REAL NOT NULL CHECK (standard > 0),
    PRIMARY KEY (stand, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE stand_edge_point (
    stand INTEGER NOT NULL,
    edge INTEGER NOT NULL,
    position INTEGER NOT NULL CHECK (position >= 0),
    x REAL NOT NULL,
    y REAL NOT NULL,
    PRIMARY KEY (stand, edge, position),
    FOREIGN KEY (stand, edge) REFERENCES stand_edge (stand, position) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE TABLE clip_picture (
    clip INTEGER PRIMARY KEY REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
    width INTEGER NOT NULL CHECK (width BETWEEN 1 AND 1000000),
    height INTEGER NOT NULL CHECK (height BETWEEN 1 AND 1000000),
    quarter_turns INTEGER NOT NULL CHECK (quarter_turns BETWEEN 0 AND 3)
) STRICT;
PRAGMA user_version = 10;
)sql";

// kSteps[n] takes a file from version n to n + 1. A step that has been released is never edited.
constexpr std::array<const char*, kSchemaVersion> kSteps{kVersion1, kVersion2, kVersion3, kVersion4,
                                                         kVersion5, kVersion6, kVersion7, kVersion8,
                                                         kVersion9, kVersion10};

std::map<std::string, std::string> objects_of(SQLite::Database& db) {
    std::map<std::string, std::string> objects;
    SQLite::Statement query(db, "SELECT type || ' ' || name, coalesce(sql, '') FROM sqlite_schema");
    while (query.executeStep())
        objects[query.getColumn(0).getString()] = query.getColumn(1).getString();
    return objects;
}

void take_steps(SQLite::Database& db, int from, int to) {
    for (auto step = static_cast<std::size_t>(from); step < static_cast<std::size_t>(to); ++step)
        db.exec(kSteps.at(step));
}

std::map<std::string, std::string> expected_objects(int version) {
    SQLite::Database model(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    take_steps(model, 0, version);
    return objects_of(model);
}

}  // namespace

void migrate(SQLite::Database& db, int version) {
    take_steps(db, version, kSchemaVersion);
}

base::Sentence schema_difference(SQLite::Database& db, int version) {
    const std::map<std::string, std::string> expected = expected_objects(version);
    const auto found = objects_of(db);
    for (const auto& [name, sql] : expected) {
        const auto same = found.find(name);
        if (same == found.end()) return base::worded("its {} is missing", name);
        if (same->second != sql) return base::worded("its {} is not as this format has it", name);
    }
    for (const auto& [name, sql] : found) {
        if (!expected.contains(name)) return base::worded("its {} does not belong in a meet file", name);
    }
    return {};
}

}  // namespace plumbmark::store
