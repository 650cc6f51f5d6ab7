// The tables of a meet file (docs/meet-file.md, 'Tables').
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <string>

#include "base/result.h"

namespace plumbmark::store {

/// "PLMB", at offset 68 of the file's header; says that an SQLite file is a meet file.
inline constexpr int kApplicationId = 0x504C4D42;
/// At offset 60 of the header. A program refuses files of a larger number.
inline constexpr int kSchemaVersion = 10;

/// Brings a file from 'version' (0: empty) to kSchemaVersion, one step after the other, inside the caller's
/// transaction. Throws SQLite::Exception.
void migrate(SQLite::Database& db, int version);

/// Whether the file's tables, indexes and triggers are exactly those of this version (1 to kSchemaVersion); a
/// sentence naming the first that is not, or empty. Nothing of a foreign schema is ever run. Throws
/// SQLite::Exception.
[[nodiscard]] base::Sentence schema_difference(SQLite::Database& db, int version);

}  // namespace plumbmark::store
