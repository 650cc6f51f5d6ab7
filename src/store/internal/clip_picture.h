// The form of a clip's picture, in the journal and in its table; files before format 10 have neither.
#pragma once

#include "meet/values.h"
#include "store/internal/json_text.h"
#include "store/internal/rows_beside.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// The member 'picture', where it is known.
void add_picture_member(Json& object, const meet::Clip& clip);
/// Throws ReadProblem.
void read_picture_member(const Members& members, meet::Clip& clip);

/// Writes what is known over what is stored. Throws SQLite::Exception.
void write_picture_row(Sql& sql, const meet::Clip& clip);

/// Empty where the file's format has no such table yet. Throws SQLite::Exception.
[[nodiscard]] ClipRows<meet::ClipPicture> read_picture_rows(Sql& sql);

}  // namespace plumbmark::store
