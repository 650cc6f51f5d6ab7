// Values of one row of a table, and the rows that belong to things. All of it throws ReadProblem where a row
// holds what cannot be, and SQLite::Exception.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "base/worded.h"
#include "meet/values.h"
#include "store/internal/read_word.h"
#include "store/internal/sql.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

[[nodiscard]] inline std::int64_t whole(SQLite::Statement& row, int column) {
    return row.getColumn(column).getInt64();
}
[[nodiscard]] inline double real(SQLite::Statement& row, int column) {
    return row.getColumn(column).getDouble();
}
[[nodiscard]] inline std::string text(SQLite::Statement& row, int column) {
    return row.getColumn(column).getString();
}
[[nodiscard]] inline bool null(SQLite::Statement& row, int column) {
    return row.getColumn(column).isNull();
}
// Any other number would be taken for true, and so be read as something that the journal does not say.
[[nodiscard]] inline bool flag(SQLite::Statement& row, int column) {
    const std::int64_t value = whole(row, column);
    if (value != 0 && value != 1)
        fail_at(base::worded("id {}", text(row, 0)), base::worded("a flag is neither 0 nor 1"));
    return value == 1;
}
/// A number that fits an int.
[[nodiscard]] inline int small(SQLite::Statement& row, int column, const char* table) {
    const std::int64_t value = whole(row, column);
    if (value < INT32_MIN || value > INT32_MAX)
        fail_at(row_place(table, text(row, 0)), base::worded("the number is too large"));
    return static_cast<int>(value);
}

[[nodiscard]] inline std::int64_t id_or_none(SQLite::Statement& row, int column) {
    return null(row, column) ? -1 : whole(row, column);
}

template <class List>
[[nodiscard]] auto word(SQLite::Statement& row, int column, const List& list, const char* table) {
    const std::string found = text(row, column);
    const auto value = value_of(list, found);
    if (!value) fail_on_word(row_place(table, text(row, 0)), found, words_in(list));
    return *value;
}

[[nodiscard]] inline std::array<double, 2> point(SQLite::Statement& row, int column) {
    return {real(row, column), real(row, column + 1)};
}
[[nodiscard]] inline std::optional<std::array<double, 2>> point_or_none(SQLite::Statement& row, int column) {
    if (null(row, column) || null(row, column + 1)) return std::nullopt;
    return point(row, column);
}

[[nodiscard]] inline std::optional<meet::FrameRef> frame_or_none(SQLite::Statement& row, int column) {
    if (null(row, column)) return std::nullopt;
    return meet::FrameRef{whole(row, column), whole(row, column + 1)};
}

/// Rows that belong to things, in the order of the things' ids and of their positions, which must have no
/// gap. Things take theirs in the same order. What belongs to a part of a thing has two columns for its
/// owner: the thing's id and the part's position.
template <class T, class Owner = std::int64_t>
class Parts {
  public:
    /// None at all, as in a file of an older format.
    explicit Parts(const char* table) : table_(table) {}
    /// The query's first columns are the owner and the position.
    template <class Read>
    Parts(Sql& sql, const char* table, const std::string& query, Read read) : table_(table) {
        std::int64_t position = 0;
        sql.rows(query, [&](SQLite::Statement& row) {
            const Owner owner = owner_in(row);
            if (items_.empty() || items_.back().first != owner) position = 0;
            if (whole(row, kOwnerColumns) != position++)
                fail_at(row_place(table_, text(row, 0)), base::worded("a row between the others is missing"));
            items_.emplace_back(owner, read(row));
        });
    }
    std::vector<T> take(const Owner& owner) {
        std::size_t end = taken_;
        while (end < items_.size() && items_[end].first == owner)
            ++end;
        std::vector<T> its;
        its.reserve(end - taken_);
        for (; taken_ < end; ++taken_)
            its.push_back(std::move(items_[taken_].second));
        return its;
    }
    void require_all_taken() const {
        if (taken_ < items_.size())
            fail_at(row_place(table_, name_of(items_[taken_].first)),
                    base::worded("these rows belong to nothing"));
    }

  private:
    static constexpr bool kOfThings = std::is_same_v<Owner, std::int64_t>;
    static constexpr int kOwnerColumns = kOfThings ? 1 : 2;

    static Owner owner_in(SQLite::Statement& row) {
        if constexpr (kOfThings)
            return whole(row, 0);
        else
            return {whole(row, 0), whole(row, 1)};
    }
    static std::string name_of(const Owner& owner) {
        if constexpr (kOfThings)
            return std::to_string(owner);
        else
            return std::to_string(owner.first);
    }

    const char* table_;
    std::vector<std::pair<Owner, T>> items_;
    std::size_t taken_ = 0;
};

}  // namespace plumbmark::store
