// The things of the competition in table 'thing', and what format 6 added to athletes, runs and floor calls,
// in tables beside theirs. Files of formats before the sixth have none of it.
#pragma once

#include <vector>

#include "meet/changes.h"
#include "store/internal/rows_beside.h"
#include "store/internal/sql.h"

namespace plumbmark::store {

/// Whether things of this kind are kept in table 'thing', as the JSON of the journal.
[[nodiscard]] bool is_kept_as_json(meet::Kind kind);
/// Writes a thing of such a kind over what is stored for its id. Throws SQLite::Exception.
void write_json_row(Sql& sql, const meet::Entity& sealed);
/// Throws SQLite::Exception.
void remove_json_row(Sql& sql, meet::EntityKey key);
/// Throws SQLite::Exception, or ReadProblem naming the row.
void read_json_rows(Sql& sql, std::vector<meet::Entity>& things);

/// Each writes what the thing has over what is stored. They throw SQLite::Exception.
void write_person_row(Sql& sql, const meet::Athlete& athlete);
void write_entry_row(Sql& sql, const meet::Run& run);
void write_call_row(Sql& sql, const meet::FloorCall& call);

/// The things' values with only what these tables hold of them.
[[nodiscard]] RowsBeside<meet::AthleteId, meet::Athlete> read_person_rows(Sql& sql);
[[nodiscard]] RowsBeside<meet::RunId, meet::Run> read_entry_rows(Sql& sql);
[[nodiscard]] RowsBeside<meet::FloorCallId, meet::FloorCall> read_call_rows(Sql& sql);

}  // namespace plumbmark::store
