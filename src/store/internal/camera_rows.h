// The tables of cameras (their lenses and stands), and of what marks had pointed at and measured. Files of
// formats before the tenth have none of it. All of it throws SQLite::Exception; the readers ReadProblem too,
// naming the row.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "meet/changes.h"
#include "store/internal/sql.h"
#include "store/internal/table_values.h"

namespace plumbmark::store {

/// Each writes the thing over what is stored for its id.
void write_lens_row(Sql& sql, const meet::CameraLens& lens);
void write_stand_rows(Sql& sql, const meet::CameraStand& stand);
void read_camera_rows(Sql& sql, std::vector<meet::Entity>& things);

void write_pointed_rows(Sql& sql, const meet::Mark& mark);
[[nodiscard]] Parts<meet::Pointed> read_pointed_rows(Sql& sql);

/// The columns of table mark that hold what was measured, each with a comma before it; empty for a file that
/// has none.
[[nodiscard]] std::string measured_columns(Sql& sql);
/// What the columns hold from 'column' on.
[[nodiscard]] std::optional<meet::MeasuredMoment> measured_or_none(SQLite::Statement& row, int column);

}  // namespace plumbmark::store
