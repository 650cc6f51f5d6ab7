// Under what a run is ruled, and where a book came from, in the journal and in their tables; files of formats
// before the fifth have neither.
#pragma once

#include "meet/values.h"
#include "store/internal/json_text.h"
#include "store/internal/rows_beside.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// A run's division and lane; empty where the run names none.
struct RunCourse {
    std::string division;
    std::string lane;
};

/// The members 'division' and 'lane', each where the run names one.
void add_course_members(Json& object, const meet::Run& run);
/// Throws ReadProblem.
void read_course_members(const Members& members, meet::Run& run);
/// Writes what the run names over what is stored. Throws SQLite::Exception.
void write_course_row(Sql& sql, const meet::Run& run);
/// Empty where the file's format has no such table yet. Throws SQLite::Exception.
[[nodiscard]] RowsBeside<meet::RunId, RunCourse> read_course_rows(Sql& sql);

/// Writes the hash of the book's path over what is stored. Throws SQLite::Exception.
void write_path_row(Sql& sql, const meet::BookRevision& book);
/// As read_course_rows(); hashes.
[[nodiscard]] RowsBeside<meet::BookId, std::string> read_path_rows(Sql& sql);

}  // namespace plumbmark::store
