// Stored things as rows of the typed tables. Personal fields hold hashes here, as in the journal.
#pragma once

#include <array>
#include <vector>

#include "meet/changes.h"
#include "store/internal/sql.h"

namespace plumbmark::store {

/// Writes a thing over what is stored for its id. Throws SQLite::Exception.
void write_thing(Sql& sql, const meet::Entity& sealed);
/// Throws SQLite::Exception.
void remove_thing(Sql& sql, meet::EntityKey key);

void write_last_used_ids(Sql& sql, const meet::IdsByKind& ids);

/// All that the tables hold.
struct TablesContent {
    std::vector<meet::Entity> things;
    meet::IdsByKind last_used_ids{};
};
/// Throws SQLite::Exception, or ReadProblem naming the row when it holds what cannot be.
[[nodiscard]] TablesContent read_tables(Sql& sql);
/// But for the things that are kept as their JSON (read_json_rows() of competition_rows.h).
[[nodiscard]] TablesContent read_typed_tables(Sql& sql);

}  // namespace plumbmark::store
