// Journal rows: what they carry, and how they are chained (docs/meet-file.md, 'The journal').
#pragma once

#include <string>
#include <vector>

#include "meet/changes.h"

namespace plumbmark::store {

inline constexpr const char* kJournalFormat = "plumbmark-journal/1";

/// What one row says. Its canonical JSON is what is hashed.
struct RowContent {
    std::int64_t number = 0;
    std::string previous;              ///< SHA-256 of the row before, in hex; for row 1 genesis()
    std::string time;                  ///< RFC 3339, UTC, milliseconds
    meet::Change change;               ///< sealed
    std::vector<std::string> removed;  ///< hashes of personal values that were erased with this row
};

/// What row 1 is chained to: the SHA-256 of the canonical JSON {"format":"plumbmark-journal/1","meet":"..."},
/// where 'meet' is the random identity of the file. So no row of one meet fits into another.
[[nodiscard]] std::string genesis(const std::string& meet_identity);

[[nodiscard]] std::string canonical_row(const RowContent& row);

/// Throws ReadProblem (also for a row that is JSON but not in canonical form).
[[nodiscard]] RowContent parse_row(const std::string& canonical_json);

/// "2026-05-02T09:30:00.000Z", rounded down to the millisecond; years 0 to 9999.
[[nodiscard]] std::string rfc3339(std::int64_t nanoseconds_since_1970);

}  // namespace plumbmark::store
