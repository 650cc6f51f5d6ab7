#include "store/internal/ledger.h"

#include <set>

#include "base/worded.h"
#include "store/internal/tables.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;

void collect_hashes(const std::optional<meet::Entity>& sealed, std::set<std::string>& hashes) {
    if (!sealed) return;
    for (const std::string* field : meet::personal_members(*sealed)) {
        if (!field->empty()) hashes.insert(*field);
    }
}

}  // namespace

Result<PreparedRow> Ledger::prepare(const meet::Change& change, const std::string& time,
                                    const Erasing& erase) {
    // Sealed, a personal value is a hash whatever it was.
    for (const meet::Edit& edit : change.edits) {
        if (!edit.after) continue;
        if (Result<void> good = meet::check_values(*edit.after); !good) return good.error();
    }
    PreparedRow row;
    row.sealed = seal(change, end_.state, random_);
    if (change.undoes > end_.number)
        return Error{Category::bad_input, base::worded("the journal has no row {} to undo", change.undoes),
                     ""};
    if (erase) {
        Result<std::vector<std::string>> hashes = earlier_hashes(row.sealed.change, *erase);
        if (!hashes) return hashes.error();
        row.removed = std::move(*hashes);
    }
    if (Result<void> applied = end_.state.apply(row.sealed.change); !applied) return applied.error();
    row.number = end_.number + 1;
    row.previous = end_.sha256;
    row.json = canonical_row({row.number, row.previous, time, row.sealed.change, row.removed});
    row.sha256 = sha256_hex(row.json);
    row.last_used_ids = end_.state.last_used_ids();
    end_.number = row.number;
    end_.sha256 = row.sha256;
    return row;
}

// Every hash that a journal row gave to one of these things, but for those that still stand after the change.
Result<std::vector<std::string>> Ledger::earlier_hashes(const meet::Change& sealed,
                                                        const std::vector<meet::EntityKey>& also) {
    std::set<meet::EntityKey> keys;
    std::set<std::string> kept;
    std::set<std::string> hashes;
    for (const meet::Edit& edit : sealed.edits) {
        keys.insert(edit.key());
        collect_hashes(edit.after, kept);
    }
    for (const meet::EntityKey& key : also) {
        if (keys.insert(key).second) collect_hashes(end_.state.find(key), kept);
    }
    Result<std::unique_ptr<Connection>> reader = Connection::open(place_, Access::read);
    if (!reader) return reader.error();
    const Result<void> read = guarded(place_, [&] {
        (*reader)->sql().rows("SELECT json FROM journal ORDER BY number", [&](SQLite::Statement& row) {
            const RowContent content = parse_row(row.getColumn(0).getString());
            for (const meet::Edit& edit : content.change.edits) {
                if (!keys.contains(edit.key())) continue;
                collect_hashes(edit.before, hashes);
                collect_hashes(edit.after, hashes);
            }
        });
    });
    if (!read) return read.error();
    for (const std::string& hash : kept)
        hashes.erase(hash);
    return std::vector<std::string>(hashes.begin(), hashes.end());
}

void Ledger::write(Connection& connection, const PreparedRow& row) {
    Sql& sql = connection.sql();
    for (const ApartValue& fresh : row.sealed.fresh) {
        SQLite::Statement insert(connection.db(), "INSERT INTO apart VALUES (?, ?, ?)");
        insert.bind(1, fresh.hash);
        insert.bind(2, fresh.salt.data(), static_cast<int>(fresh.salt.size()));
        insert.bind(3, fresh.value);
        insert.exec();
    }
    for (const meet::Edit& edit : row.sealed.change.edits) {
        if (edit.after)
            write_thing(sql, *edit.after);
        else
            remove_thing(sql, edit.key());
    }
    write_last_used_ids(sql, row.last_used_ids);
    for (const std::string& hash : row.removed)
        sql.run("UPDATE apart SET salt = NULL, value = NULL WHERE hash = ?", hash);
    sql.run("INSERT INTO journal VALUES (?, ?, ?, ?)", row.number, row.previous, row.json, row.sha256);
}

void Ledger::commit_or_throw(const PreparedRow& row) {
    SQLite::Transaction transaction(connection_->db(), SQLite::TransactionBehavior::IMMEDIATE);
    std::int64_t number = 0;
    std::string sha256;
    connection_->sql().rows("SELECT number, sha256 FROM journal ORDER BY number DESC LIMIT 1",
                            [&](SQLite::Statement& last) {
                                number = last.getColumn(0).getInt64();
                                sha256 = last.getColumn(1).getString();
                            });
    if (number == row.number && sha256 == row.sha256) {
        // It had reached the file when its confirmation failed. Any write makes SQLite sync file and folder
        // again.
        connection_->sql().run("UPDATE meet SET id = 0");
    } else if (number != row.number - 1 || sha256 != row.previous) {
        throw Refusal{
            {Category::damaged,
             base::worded(
                 "the journal in the file no longer ends where this program left it: another program "
                 "wrote to it; nothing more is written"),
             place_.path.string()}};
    } else {
        write(*connection_, row);
    }
    transaction.commit();
    if (!row.removed.empty()) connection_->write_anew();
}

Result<void> Ledger::with_connection(const std::function<void()>& work) {
    if (!connection_) {
        Result<std::unique_ptr<Connection>> again = Connection::open(place_, Access::write);
        if (!again) return again.error();
        connection_ = std::move(*again);
    }
    Result<void> done = guarded(place_, work);
    if (!done) connection_.reset();
    return done;
}

Result<void> Ledger::commit(const PreparedRow& row) {
    return with_connection([&] { commit_or_throw(row); });
}

Result<void> Ledger::clear() {
    return with_connection([&] { connection_->write_anew(); });
}

}  // namespace plumbmark::store
