// Which streams of a clip's file are taken, in the journal and in its table; files of the first format have
// neither.
#pragma once

#include "meet/values.h"
#include "store/internal/json_text.h"
#include "store/internal/rows_beside.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// The members 'video_stream' and 'sound_stream', each where one was chosen.
void add_stream_members(Json& object, const meet::Clip& clip);
/// Throws ReadProblem.
void read_stream_members(const Members& members, meet::Clip& clip);

/// Writes what is chosen over what is stored. Throws SQLite::Exception.
void write_stream_row(Sql& sql, const meet::Clip& clip);

/// Empty where the file's format has no such table yet. Throws SQLite::Exception.
[[nodiscard]] ClipRows<meet::StreamChoice> read_stream_rows(Sql& sql);

}  // namespace plumbmark::store
