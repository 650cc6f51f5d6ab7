// What later formats of the meet file know of a thing, in tables of their own beside the thing's.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>

#include "base/worded.h"
#include "meet/values.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// A personal value's hash as its column holds it.
[[nodiscard]] inline std::optional<std::string> hash_or_null(const std::string& hash) {
    return hash.empty() ? std::nullopt : std::optional(hash);
}

/// The number of the file's format. Throws SQLite::Exception.
[[nodiscard]] inline std::int64_t format_of(Sql& sql) {
    std::int64_t format = 0;
    sql.rows("PRAGMA user_version", [&](SQLite::Statement& row) { format = row.getColumn(0).getInt64(); });
    return format;
}

/// One such table's rows by the thing that they belong to, at most one each.
template <class IdType, class Value>
class RowsBeside {
  public:
    /// 'read' gives the value of one row of 'SELECT owner, columns'. Empty where the file's format is older
    /// than 'since'. Throws SQLite::Exception.
    template <class Read>
    RowsBeside(Sql& sql, std::int64_t since, std::string table, const std::string& owner,
               const std::string& columns, const Read& read)
        : table_(std::move(table)) {
        if (format_of(sql) < since) return;
        sql.rows("SELECT " + owner + ", " + columns + " FROM " + table_ + " ORDER BY " + owner,
                 [&](SQLite::Statement& row) {
                     rows_.emplace_hint(rows_.end(), IdType{row.getColumn(0).getInt64()}, read(row));
                 });
    }

    [[nodiscard]] std::optional<Value> take(IdType owner) {
        auto node = rows_.extract(owner);
        return node ? std::optional<Value>(std::move(node.mapped())) : std::nullopt;
    }
    /// Throws ReadProblem when a row belongs to nothing.
    void require_all_taken() const {
        if (!rows_.empty())
            fail_at(base::worded("table {}", table_), base::worded("these rows belong to nothing"));
    }

  private:
    std::string table_;
    std::map<IdType, Value> rows_;
};

template <class Value>
using ClipRows = RowsBeside<meet::ClipId, Value>;

}  // namespace plumbmark::store
