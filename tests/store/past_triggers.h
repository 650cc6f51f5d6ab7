// What somebody can do to a meet file who knows its format.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <string>
#include <utility>
#include <vector>

namespace plumbmark::test {

/// Does something to an open meet file past its triggers, which are put back as they were.
template <class Act>
void past_triggers(SQLite::Database& db, const Act& act) {
    std::vector<std::pair<std::string, std::string>> triggers;
    SQLite::Statement query(db, "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'");
    while (query.executeStep())
        triggers.emplace_back(query.getColumn(0).getString(), query.getColumn(1).getString());
    query.reset();
    for (const auto& [name, text] : triggers)
        db.exec("DROP TRIGGER " + name);
    act();
    for (const auto& [name, text] : triggers)
        db.exec(text);
}

}  // namespace plumbmark::test
