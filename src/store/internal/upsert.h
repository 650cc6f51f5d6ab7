// Writing a thing's row over the one that is there.
#pragma once

#include <string>
#include <vector>

namespace plumbmark::store {

/// The statement that writes a row with an id and these columns. The old row is written over, never replaced
/// by delete and insert: rows that refer to it would have to be looked for.
[[nodiscard]] inline std::string upsert(const std::string& table, const std::vector<std::string>& columns) {
    std::string names = "id";
    std::string marks = "?";
    std::string updates;
    for (const std::string& column : columns) {
        names += ", " + column;
        marks += ", ?";
        updates += (updates.empty() ? "" : ", ") + column + " = excluded." + column;
    }
    return "INSERT INTO " + table + " (" + names + ") VALUES (" + marks +
           ") ON CONFLICT (id) DO UPDATE SET " + updates;
}

}  // namespace plumbmark::store
