#include "store/internal/competition_rows.h"

#include "base/worded.h"
#include "meet/competition_words.h"
#include "store/internal/entity_json.h"
#include "store/internal/read_word.h"
#include "store/internal/words.h"

namespace plumbmark::store {
namespace {

using base::worded;

constexpr std::int64_t kFirstVersion = 6;

using Whole = std::optional<std::int64_t>;

Whole whole_or_none(SQLite::Statement& row, int column) {
    const SQLite::Column value = row.getColumn(column);
    return value.isNull() ? Whole{} : Whole{value.getInt64()};
}

}  // namespace

bool is_kept_as_json(meet::Kind kind) {
    return (kind >= meet::Kind::rules && kind <= meet::Kind::cover) ||
           (kind >= meet::Kind::tester && kind <= meet::Kind::coach_note);
}

void write_json_row(Sql& sql, const meet::Entity& sealed) {
    const meet::EntityKey key = meet::key_of(sealed);
    sql.run("INSERT INTO thing VALUES (?, ?, ?) ON CONFLICT (kind, id) DO UPDATE SET json = excluded.json",
            std::string(meet::kind_word(key.kind)), key.id, canonical_text(to_json(sealed)));
}

void remove_json_row(Sql& sql, meet::EntityKey key) {
    sql.run("DELETE FROM thing WHERE kind = ? AND id = ?", std::string(meet::kind_word(key.kind)), key.id);
}

void read_json_rows(Sql& sql, std::vector<meet::Entity>& things) {
    if (format_of(sql) < kFirstVersion) return;
    sql.rows("SELECT kind, id, json FROM thing", [&](SQLite::Statement& row) {
        const std::string word = row.getColumn(0).getString();
        const std::string where = "table thing, " + word + " " + row.getColumn(1).getString();
        const auto kind = meet::kind_from_word(word);
        if (!kind || !is_kept_as_json(*kind)) fail_at(where, worded("things of this kind are not kept here"));
        if (*kind == meet::Kind::rules && row.getColumn(1).getInt64() != 0)
            fail_at(where, worded("its id is 0"));
        const base::Result<Json> json = parse_json(row.getColumn(2).getString());
        if (!json) fail_at(where, json.error().sentence);
        things.push_back(entity_from_json({*kind, row.getColumn(1).getInt64()}, *json, where));
    });
}

void write_person_row(Sql& sql, const meet::Athlete& athlete) {
    if (athlete.born.empty() && athlete.category.empty() && athlete.consent == meet::Consent::unknown)
        return sql.run("DELETE FROM athlete_person WHERE athlete = ?", athlete.id.value);
    sql.run(
        "INSERT INTO athlete_person VALUES (?, ?, ?, ?) ON CONFLICT (athlete) DO UPDATE SET "
        "born = excluded.born, category = excluded.category, consent = excluded.consent",
        athlete.id.value, hash_or_null(athlete.born), hash_or_null(athlete.category),
        word_for(meet::kConsentWords, athlete.consent));
}

RowsBeside<meet::AthleteId, meet::Athlete> read_person_rows(Sql& sql) {
    return {sql,
            kFirstVersion,
            "athlete_person",
            "athlete",
            "born, category, consent",
            [](SQLite::Statement& row) {
                meet::Athlete person;
                person.born = row.getColumn(1).getString();
                person.category = row.getColumn(2).getString();
                const std::string word = row.getColumn(3).getString();
                const auto consent = value_of(meet::kConsentWords, word);
                if (!consent)
                    fail_on_word(worded("table {}", "athlete_person"), word, words_in(meet::kConsentWords));
                person.consent = *consent;
                return person;
            }};
}

void write_entry_row(Sql& sql, const meet::Run& run) {
    if (!run.entry.valid() && !run.rerun_of.valid())
        return sql.run("DELETE FROM run_entry WHERE run = ?", run.id.value);
    sql.run(
        "INSERT INTO run_entry VALUES (?, ?, ?) ON CONFLICT (run) DO UPDATE SET entry = excluded.entry, "
        "rerun_of = excluded.rerun_of",
        run.id.value, run.entry.valid() ? Whole{run.entry.value} : Whole{},
        run.rerun_of.valid() ? Whole{run.rerun_of.value} : Whole{});
}

RowsBeside<meet::RunId, meet::Run> read_entry_rows(Sql& sql) {
    return {sql, kFirstVersion, "run_entry", "run", "entry, rerun_of", [](SQLite::Statement& row) {
                meet::Run run;
                run.entry = {whole_or_none(row, 1).value_or(-1)};
                run.rerun_of = {whole_or_none(row, 2).value_or(-1)};
                return run;
            }};
}

void write_call_row(Sql& sql, const meet::FloorCall& call) {
    if (!call.at && !call.points)
        return sql.run("DELETE FROM floor_call_more WHERE floor_call = ?", call.id.value);
    sql.run(
        "INSERT INTO floor_call_more VALUES (?, ?, ?) ON CONFLICT (floor_call) DO UPDATE SET "
        "at_ms = excluded.at_ms, points = excluded.points",
        call.id.value, call.at ? Whole{call.at->ms} : Whole{}, call.points ? Whole{*call.points} : Whole{});
}

RowsBeside<meet::FloorCallId, meet::FloorCall> read_call_rows(Sql& sql) {
    return {sql, kFirstVersion, "floor_call_more", "floor_call", "at_ms, points", [](SQLite::Statement& row) {
                meet::FloorCall call;
                if (const Whole at = whole_or_none(row, 1)) call.at = meet::WallTime{*at};
                if (const Whole points = whole_or_none(row, 2)) {
                    if (*points > INT32_MAX)
                        fail_at(worded("table {}", "floor_call_more"), worded("the points are too many"));
                    call.points = static_cast<std::int32_t>(*points);
                }
                return call;
            }};
}

}  // namespace plumbmark::store
