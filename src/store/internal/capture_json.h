// What a clip says of its capture time and of repeated pictures, in the journal and in the tables.
#pragma once

#include <string>
#include <vector>

#include "meet/values.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// The members of a clip that read_capture_members knows; each but the first may be absent.
[[nodiscard]] const std::vector<std::string>& capture_members();
/// Adds them: those that say nothing are left out.
void add_capture_members(Json& object, const meet::Clip& clip);
/// Throws ReadProblem. Rows from before there was more than 'capture_time_known' read as what they said.
void read_capture_members(const Members& members, meet::Clip& clip);

/// What the column capture_time_known says.
[[nodiscard]] bool capture_time_known(const meet::Clip& clip);
/// Writes the clip's rows of the tables clip_capture, clip_slowed, clip_looked_through and clip_repeated over
/// those that were there. Throws SQLite::Exception.
void write_capture_rows(Sql& sql, const meet::Clip& clip);
/// Throws SQLite::Exception.
void remove_capture_rows(Sql& sql, std::int64_t clip);
/// Adds what the tables hold to clips that were read without it; 'known' by clip: the column
/// capture_time_known. Throws SQLite::Exception, or ReadProblem.
void read_capture_rows(Sql& sql, std::vector<meet::Clip>& clips, const std::vector<bool>& known);

}  // namespace plumbmark::store
