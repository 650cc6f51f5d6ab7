#include "store/internal/contents.h"

#include <future>
#include <iterator>

#include "base/worded.h"
#include "store/internal/competition_rows.h"
#include "store/internal/strict_reader.h"
#include "store/internal/tables.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

using base::worded;

meet::State restored_or_fail(std::vector<meet::Entity> things, const meet::IdsByKind& ids) {
    base::Result<meet::State> state = meet::State::restored(std::move(things), ids);
    if (!state) fail_at(state.error().where, state.error().sentence);
    return std::move(*state);
}

void require_meet(const TablesContent& tables) {
    if (tables.things.empty() || meet::key_of(tables.things.front()).kind != meet::Kind::meet_info)
        fail_at(worded("table {}", "meet"), worded("its row is missing"));
}

/// What is read beside the typed tables.
struct Beside {
    std::vector<meet::Entity> things;
    ApartValues apart;
};

Beside read_beside(Connection& connection) {
    Beside beside;
    beside.apart = read_apart_values(connection);
    read_json_rows(connection.sql(), beside.things);
    return beside;
}

/// None where a writer waits for the readers to end: to wait for it here would be to wait for ourselves.
std::optional<Beside> read_beside_on_its_own(const Place& place) {
    std::optional<Beside> beside;
    const base::Result<std::unique_ptr<Connection>> connection =
        Connection::open(place, Access::read_at_once);
    if (!connection && connection.error().category != base::Category::busy) throw Refusal{connection.error()};
    if (!connection) return beside;
    const base::Result<void> read = guarded(place, [&] {
        SQLite::Transaction reading((*connection)->db());
        beside = read_beside(**connection);
    });
    if (!read && read.error().category != base::Category::busy) throw Refusal{read.error()};
    return beside;
}

// The end of the journal, and whether its last row erased something.
bool read_end(Connection& connection, JournalEnd& end) {
    std::string last_json;
    std::string previous = genesis(read_identity(connection));
    end.sha256 = previous;
    const char* query =
        "SELECT number, previous, json, sha256 FROM (SELECT * FROM journal ORDER BY number DESC LIMIT 2) "
        "ORDER BY number";
    connection.sql().rows(query, [&](SQLite::Statement& row) {
        const std::int64_t number = row.getColumn(0).getInt64();
        const auto name = [&] { return worded("journal row {}", number); };
        const std::string json = row.getColumn(2).getString();
        const bool follows = number == end.number + 1 || end.number == 0;
        if (number > 1 && end.number == 0) end.sha256 = row.getColumn(1).getString();
        if (!follows || row.getColumn(1).getString() != end.sha256)
            fail_at(name(), worded("it does not follow the row before"));
        if (sha256_hex(json) != row.getColumn(3).getString())
            fail_at(name(), worded("it is not what its hash says"));
        end.number = number;
        end.sha256 = row.getColumn(3).getString();
        last_json = json;
    });
    if (end.number == 0) fail_at(worded("the journal"), worded("it is empty"));
    return !parse_row(last_json).removed.empty();
}

}  // namespace

std::string read_identity(Connection& connection) {
    std::string identity;
    connection.sql().rows("SELECT meet, id FROM file", [&](SQLite::Statement& row) {
        if (!identity.empty() || row.getColumn(1).getInt64() != 0)
            fail_at(worded("table {}", "file"), worded("it has one row, whose id is 0"));
        identity = row.getColumn(0).getString();
    });
    if (identity.empty()) fail_at(worded("table {}", "file"), worded("its row is missing"));
    return identity;
}

ApartValues read_apart_values(Connection& connection) {
    ApartValues values;
    connection.sql().rows("SELECT hash, value FROM apart WHERE value IS NOT NULL",
                          [&](SQLite::Statement& row) {
                              values.emplace(row.getColumn(0).getString(), row.getColumn(1).getString());
                          });
    return values;
}

meet::State read_sealed_state(Connection& connection) {
    TablesContent tables = read_tables(connection.sql());
    require_meet(tables);
    return restored_or_fail(std::move(tables.things), tables.last_used_ids);
}

Contents read_contents(const Place& place, Connection& connection, bool to_write) {
    SQLite::Transaction reading(connection.db());  // one moment of the file
    Contents contents;
    contents.ends_with_erasing = read_end(connection, contents.end);
    // From here to its end the transaction keeps every writer from committing, so a second connection sees
    // the same moment, and half of the file is read on a second thread.
    std::future<std::optional<Beside>> reading_beside =
        std::async(std::launch::async, read_beside_on_its_own, place);
    TablesContent tables = read_typed_tables(connection.sql());
    require_meet(tables);
    std::optional<Beside> beside = reading_beside.get();
    if (!beside) beside = read_beside(connection);
    tables.things.insert(tables.things.end(), std::make_move_iterator(beside->things.begin()),
                         std::make_move_iterator(beside->things.end()));
    // The sealed things are what the next change is sealed against; whoever only reads has no use for them.
    std::future<meet::State> sealed;
    if (to_write)
        sealed = std::async(std::launch::async, restored_or_fail, tables.things, tables.last_used_ids);
    for (meet::Entity& thing : tables.things)
        unseal(thing, beside->apart);
    contents.state = restored_or_fail(std::move(tables.things), tables.last_used_ids);
    if (to_write) contents.end.state = sealed.get();
    return contents;
}

}  // namespace plumbmark::store
