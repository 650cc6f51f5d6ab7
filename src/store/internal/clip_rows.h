// What later formats of the meet file know of a clip, in tables of its own beside the clip's.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>

#include "meet/values.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// One such table's rows by clip.
template <class Value>
class ClipRows {
  public:
    /// 'read' gives the value of one row of 'SELECT clip, columns'. Empty where the file's format is older
    /// than 'since'. Throws SQLite::Exception.
    template <class Read>
    ClipRows(Sql& sql, std::int64_t since, std::string table, const std::string& columns, const Read& read)
        : table_(std::move(table)) {
        std::int64_t format = 0;
        sql.rows("PRAGMA user_version",
                 [&](SQLite::Statement& row) { format = row.getColumn(0).getInt64(); });
        if (format < since) return;
        sql.rows("SELECT clip, " + columns + " FROM " + table_, [&](SQLite::Statement& row) {
            rows_.emplace(meet::ClipId{row.getColumn(0).getInt64()}, read(row));
        });
    }

    [[nodiscard]] std::optional<Value> take(meet::ClipId clip) {
        auto node = rows_.extract(clip);
        return node ? std::optional<Value>(std::move(node.mapped())) : std::nullopt;
    }
    /// Throws ReadProblem when a row belongs to no clip.
    void require_all_taken() const {
        if (!rows_.empty()) fail_at("table " + table_, "these rows belong to nothing");
    }

  private:
    std::string table_;
    std::map<meet::ClipId, Value> rows_;
};

}  // namespace plumbmark::store
