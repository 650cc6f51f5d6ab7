// Writing changes and their journal rows, one transaction each. No thread of its own.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "meet/changes.h"
#include "store/internal/connection.h"
#include "store/internal/journal_form.h"
#include "store/internal/personal.h"

namespace plumbmark::store {

/// A change as it will be written: its row is fixed, so that trying again writes the same bytes.
struct PreparedRow {
    SealedChange sealed;
    std::int64_t number = 0;
    std::string previous;
    std::string json;
    std::string sha256;
    std::vector<std::string> removed;
    meet::IdsByKind last_used_ids{};
};

/// Where a journal ends, and the sealed state that stands there.
struct JournalEnd {
    std::int64_t number = 0;
    std::string sha256;  ///< of the last row; genesis() while there is none
    meet::State state;
};

/// Whether a change erases; then the things whose earlier values go although it does not edit them.
using Erasing = std::optional<std::vector<meet::EntityKey>>;

class Ledger {
  public:
    Ledger(Place place, std::unique_ptr<Connection> connection, JournalEnd end, RandomSource random)
        : place_(std::move(place)),
          connection_(std::move(connection)),
          end_(std::move(end)),
          random_(std::move(random)) {}

    /// Fixes the row of a change that follows all those prepared before. Error bad_input when it does not
    /// apply. With 'erase', every earlier value of the personal fields of the things it edits goes with it,
    /// and of the things named there.
    [[nodiscard]] base::Result<PreparedRow> prepare(const meet::Change& change, const std::string& time,
                                                    const Erasing& erase);

    /// Writes a prepared row in a transaction of its own; on return without error it is on the disk for good.
    /// After an error the same row can be committed again: a row that had reached the file after all is found
    /// there.
    [[nodiscard]] base::Result<void> commit(const PreparedRow& row);

    /// Clears the places where erased values stood, as an erasing commit does, for a program that was stopped
    /// before it did.
    [[nodiscard]] base::Result<void> clear();

    /// The same inside the caller's transaction. Throws SQLite::Exception.
    static void write(Connection& connection, const PreparedRow& row);

    [[nodiscard]] std::int64_t last_row() const { return end_.number; }

  private:
    [[nodiscard]] base::Result<std::vector<std::string>> earlier_hashes(
        const meet::Change& sealed, const std::vector<meet::EntityKey>& also);
    [[nodiscard]] base::Result<void> with_connection(const std::function<void()>& work);
    void commit_or_throw(const PreparedRow& row);

    Place place_;
    std::unique_ptr<Connection> connection_;  // none after an error: dropping it rolls back
    JournalEnd end_;
    RandomSource random_;
};

}  // namespace plumbmark::store
