#include "store/meet_file.h"

#include <sodium.h>

#include <chrono>
#include <set>

#include "base/worded.h"
#include "store/internal/contents.h"
#include "store/internal/schema.h"
#include "store/internal/strict_reader.h"
#include "store/internal/tables.h"
#include "store/internal/write_lock.h"
#include "store/internal/writer.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

std::int64_t system_clock_now() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::nanoseconds>(since).count();
}

void system_random(unsigned char* bytes, std::size_t count) {
    PLUMBMARK_CHECK(sodium_init() >= 0);
    randombytes_buf(bytes, count);
}

OpenOptions with_defaults(OpenOptions options) {
    if (!options.clock) options.clock = system_clock_now;
    if (!options.random) options.random = system_random;
    return options;
}

Place place_of(const std::filesystem::path& path, const OpenOptions& options) {
    return {std::filesystem::absolute(path).lexically_normal(), options.file_layer};
}

std::string new_identity(const RandomSource& random) {
    std::array<unsigned char, 16> bytes{};
    random(bytes.data(), bytes.size());
    std::array<char, 2 * bytes.size() + 1> hex{};
    sodium_bin2hex(hex.data(), hex.size(), bytes.data(), bytes.size());
    return hex.data();
}

// Tables, identity and the first row in one transaction: a file is a whole meet file or nothing.
Result<void> make_file(const Place& place, const meet::MeetInfo& info, const OpenOptions& options) {
    Result<std::unique_ptr<Connection>> connection = Connection::open(place, Access::create);
    if (!connection) return connection.error();
    const std::string identity = new_identity(options.random);
    Ledger ledger(place, nullptr, {0, genesis(identity), {}}, options.random);
    const meet::Change first{"start of the meet", {{meet::MeetInfo{}, info}}, 0};
    const Result<PreparedRow> row = ledger.prepare(first, rfc3339(options.clock()), std::nullopt);
    if (!row) return row.error();
    return guarded(place, [&] {
        SQLite::Transaction transaction((*connection)->db(), SQLite::TransactionBehavior::IMMEDIATE);
        migrate((*connection)->db(), 0);
        (*connection)->sql().run("INSERT INTO file VALUES (0, ?)", identity);
        Ledger::write(**connection, *row);
        transaction.commit();
    });
}

void refuse_unexplained_end(const Place& place, const Connection& connection, const Contents& contents) {
    if (contents.ends_with_erasing || connection.bytes_after_end() == 0) return;
    throw Refusal{
        {Category::damaged,
         worded(
             "the file goes on for {} bytes after its end, and nothing was erased that would explain it; go "
             "back to a copy of it",
             connection.bytes_after_end()),
         place.path.string()}};
}

}  // namespace

struct MeetFile::Inner {
    Place place;
    std::optional<WriteLock> lock;  // none when read only
    std::string identity;
    meet::State loaded;
    std::int64_t rows_when_opened = 0;
    std::unique_ptr<Writer> writer;  // none when read only; gone before the lock is
    std::int64_t refused_tickets = 0;
    mutable std::unique_ptr<Connection> reader;  // the owner's thread only; opened when first needed

    [[nodiscard]] std::int64_t committed_rows() const {
        return rows_when_opened + (writer ? writer->committed() : 0);
    }

    // Calls 'each' for the committed rows from 'from' on.
    [[nodiscard]] Result<void> read_rows(std::int64_t from, std::int64_t most,
                                         const std::function<void(SQLite::Statement&)>& each) const {
        if (!reader) {
            Result<std::unique_ptr<Connection>> opened = Connection::open(place, Access::read);
            if (!opened) return opened.error();
            reader = std::move(*opened);
        }
        Result<void> read = guarded(place, [&] {
            reader->sql().rows(
                "SELECT number, json, sha256 FROM journal WHERE number >= ? AND number <= ? ORDER BY number "
                "LIMIT ?",
                each, from, committed_rows(), std::max<std::int64_t>(0, most));
        });
        if (!read) reader.reset();
        return read;
    }
};

MeetFile::MeetFile(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
MeetFile::MeetFile(MeetFile&&) noexcept = default;
MeetFile& MeetFile::operator=(MeetFile&&) noexcept = default;
MeetFile::~MeetFile() = default;

Result<MeetFile> MeetFile::create(const std::filesystem::path& path, const meet::MeetInfo& info,
                                  OpenOptions options) {
    options = with_defaults(std::move(options));
    const Place place = place_of(path, options);
    if (Result<void> good = meet::check_values(info); !good) return good.error();
    {
        const Result<WriteLock> lock = WriteLock::take(place.path);
        if (!lock) return lock.error();
        const Result<bool> exists = file_exists(place);
        if (!exists) return exists.error();
        if (*exists)
            return Error{Category::io, worded("there is a file of this name already; choose another"),
                         place.path.string()};
        if (Result<void> made = make_file(place, info, options); !made) {
            remove_file(place);
            return made.error();
        }
    }
    return open(path, std::move(options));
}

Result<MeetFile> MeetFile::open(const std::filesystem::path& path, OpenOptions options) {
    options = with_defaults(std::move(options));
    auto inner = std::make_unique<Inner>();
    inner->place = place_of(path, options);
    const Result<bool> exists = file_exists(inner->place);
    if (!exists) return exists.error();
    if (!*exists)
        return Error{Category::not_found, worded("there is no such file"), inner->place.path.string()};
    if (!options.read_only) {
        Result<WriteLock> lock = WriteLock::take(inner->place.path);
        if (!lock) return lock.error();
        inner->lock = std::move(*lock);
    }
    Result<std::unique_ptr<Connection>> connection =
        Connection::open(inner->place, options.read_only ? Access::read : Access::write);
    if (!connection) return connection.error();
    Contents contents;
    const Result<void> read = guarded(inner->place, [&] {
        contents = read_contents(inner->place, **connection, !options.read_only);
        inner->identity = read_identity(**connection);
        refuse_unexplained_end(inner->place, **connection, contents);
    });
    if (!read) return read.error();
    inner->loaded = std::move(contents.state);
    inner->rows_when_opened = contents.end.number;
    if (options.read_only) {
        inner->reader = std::move(*connection);
    } else {
        inner->writer = std::make_unique<Writer>(
            Ledger(inner->place, std::move(*connection), std::move(contents.end), options.random),
            options.clock, options.wake, contents.ends_with_erasing);
    }
    return MeetFile(std::move(inner));
}

const std::filesystem::path& MeetFile::path() const {
    return inner_->place.path;
}

const std::string& MeetFile::identity() const {
    return inner_->identity;
}

const meet::State& MeetFile::loaded() const {
    return inner_->loaded;
}

meet::State MeetFile::take_loaded() {
    return std::exchange(inner_->loaded, {});
}

Ticket MeetFile::submit(const meet::Change& change) {
    if (!inner_->writer) return ++inner_->refused_tickets;
    return inner_->writer->submit(change, std::nullopt);
}

Ticket MeetFile::submit_erasing(const meet::Change& change, std::vector<meet::EntityKey> also) {
    if (!inner_->writer) return ++inner_->refused_tickets;
    return inner_->writer->submit(change, std::move(also));
}

Ticket MeetFile::committed() const {
    return inner_->writer ? inner_->writer->committed() : 0;
}

std::optional<Error> MeetFile::failure() const {
    if (inner_->writer) return inner_->writer->failure();
    if (inner_->refused_tickets == 0) return std::nullopt;
    return Error{Category::io, worded("the meet file was opened for reading only; nothing is written to it"),
                 inner_->place.path.string()};
}

void MeetFile::retry() {
    if (inner_->writer) inner_->writer->retry();
}

Result<void> MeetFile::flush() {
    if (inner_->writer) return inner_->writer->flush();
    const std::optional<Error> refused = failure();
    return refused ? Result<void>(*refused) : Result<void>();
}

Result<std::vector<JournalRow>> MeetFile::journal(std::int64_t from, std::int64_t most) const {
    std::vector<JournalRow> rows;
    const Result<void> read = inner_->read_rows(from, most, [&](SQLite::Statement& row) {
        const std::string json = row.getColumn(1).getString();
        const RowContent content = parse_row(json);
        rows.push_back({row.getColumn(0).getInt64(), json, row.getColumn(2).getString(), content.change.label,
                        content.time});
    });
    if (!read) return read.error();
    return rows;
}

Result<std::vector<meet::Change>> MeetFile::changes(std::int64_t from, std::int64_t most) const {
    std::vector<meet::Change> changes;
    const Result<void> read = inner_->read_rows(from, most, [&](SQLite::Statement& row) {
        changes.push_back(parse_row(row.getColumn(1).getString()).change);
    });
    if (!read) return read.error();
    ApartValues values;
    const Result<void> known = guarded(inner_->place, [&] { values = read_apart_values(*inner_->reader); });
    if (!known) return known.error();
    for (meet::Change& change : changes)
        change = unsealed(std::move(change), values);
    return changes;
}

std::int64_t MeetFile::rows_at_open() const {
    return inner_->rows_when_opened;
}

std::int64_t MeetFile::row_of(Ticket ticket) const {
    return ticket >= 1 && ticket <= committed() ? inner_->rows_when_opened + ticket : 0;
}

}  // namespace plumbmark::store
