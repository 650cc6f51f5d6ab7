#include "store/internal/course_rows.h"

#include "base/worded.h"

namespace plumbmark::store {
namespace {

using base::worded;

constexpr std::int64_t kFirstVersionWithCourses = 5;

std::string member(const Members& members, const std::string& name) {
    if (!members.has(name)) return {};
    std::string text = members.text(name);
    if (text.empty()) fail_at(members.path_of(name), worded("where there is none, this member is left out"));
    return text;
}

}  // namespace

void add_course_members(Json& object, const meet::Run& run) {
    if (!run.division.empty()) object["division"] = run.division;
    if (!run.lane.empty()) object["lane"] = run.lane;
}

void read_course_members(const Members& members, meet::Run& run) {
    run.division = member(members, "division");
    run.lane = member(members, "lane");
}

void write_course_row(Sql& sql, const meet::Run& run) {
    if (run.division.empty() && run.lane.empty())
        return sql.run("DELETE FROM run_course WHERE run = ?", run.id.value);
    sql.run(
        "INSERT INTO run_course VALUES (?, ?, ?) ON CONFLICT (run) DO UPDATE SET division = "
        "excluded.division, lane = excluded.lane",
        run.id.value, run.division, run.lane);
}

RowsBeside<meet::RunId, RunCourse> read_course_rows(Sql& sql) {
    return {sql, kFirstVersionWithCourses, "run_course", "run", "division, lane", [](SQLite::Statement& row) {
                return RunCourse{row.getColumn(1).getString(), row.getColumn(2).getString()};
            }};
}

void write_path_row(Sql& sql, const meet::BookRevision& book) {
    if (book.path.empty()) return sql.run("DELETE FROM book_path WHERE book = ?", book.id.value);
    sql.run("INSERT INTO book_path VALUES (?, ?) ON CONFLICT (book) DO UPDATE SET path = excluded.path",
            book.id.value, book.path);
}

RowsBeside<meet::BookId, std::string> read_path_rows(Sql& sql) {
    return {sql,         kFirstVersionWithCourses,
            "book_path", "book",
            "path",      [](SQLite::Statement& row) { return row.getColumn(1).getString(); }};
}

}  // namespace plumbmark::store
