// What stands in a meet file, read as a whole.
#pragma once

#include <string>

#include "store/internal/connection.h"
#include "store/internal/ledger.h"
#include "store/internal/personal.h"

namespace plumbmark::store {

struct Contents {
    meet::State state;  ///< with personal values
    JournalEnd end;
    bool ends_with_erasing = false;  ///< the last row erased something
};

/// All of these throw SQLite::Exception, ReadProblem or Refusal, and want guarded() around them.
[[nodiscard]] std::string read_identity(Connection& connection);
[[nodiscard]] ApartValues read_apart_values(Connection& connection);
/// The sealed state that the tables hold.
[[nodiscard]] meet::State read_sealed_state(Connection& connection);
/// Reads everything, on two threads and with a second connection to the same place, and holds the last
/// journal row against its hash and against the row before. The sealed state of the journal's end is left
/// empty where nothing will be written.
[[nodiscard]] Contents read_contents(const Place& place, Connection& connection, bool to_write);

}  // namespace plumbmark::store
