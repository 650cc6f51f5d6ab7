#include "store/internal/connection.h"

#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <vector>

#include "base/worded.h"
#include "store/internal/schema.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

// A writer waits this long for readers of other programs, and a reader for the writer, whose commits take
// milliseconds.
constexpr int kPatienceMilliseconds = 10'000;
constexpr std::size_t kHeaderBytes = 100;
// Of one value or row; the journal row of the largest start list has some ten million.
constexpr int kLongestRow = 256 << 20;

sqlite3_vfs* layer_of(const Place& place) {
    return sqlite3_vfs_find(place.layer.empty() ? nullptr : place.layer.c_str());
}

[[noreturn]] void refuse(const Place& place, Category category, Sentence sentence) {
    throw Refusal{{category, std::move(sentence), place.path.string()}};
}

Error sqlite_error(const Place& place, const SQLite::Exception& problem) {
    const auto error = [&](Category category, const Sentence& sentence) {
        return Error{category, worded("{} ({})", sentence, problem.what()), place.path.string()};
    };
    switch (problem.getExtendedErrorCode()) {
        case SQLITE_READONLY_ROLLBACK:
        case SQLITE_READONLY_RECOVERY:
            return error(Category::damaged, worded("a change was being written when a program or the machine "
                                                   "stopped; open the file once for "
                                                   "writing, which puts it right"));
        case SQLITE_IOERR_DELETE:
            return error(
                Category::io,
                worded("the device failed to remove the journal beside the file; see that it is still there, "
                       "and the permissions of its folder"));
        case SQLITE_READONLY_DBMOVED:
            return error(Category::io,
                         worded("the meet file was moved or removed while it was open; put it back"));
        default:
            break;
    }
    switch (problem.getExtendedErrorCode() & 0xFF) {
        case SQLITE_FULL:
            return error(Category::io, worded("the disk is full; free some space and try again"));
        case SQLITE_READONLY:
        case SQLITE_PERM:
        case SQLITE_AUTH:
            return error(Category::io,
                         worded("the file or its folder cannot be written; see its permissions"));
        case SQLITE_CANTOPEN:
            return error(Category::io,
                         worded("the file, or its journal beside it, cannot be opened; see the permissions"));
        case SQLITE_IOERR:
            return error(Category::io,
                         worded("the device failed while reading or writing; see that it is still there"));
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return error(Category::busy, worded("another program keeps the file locked; try again"));
        case SQLITE_TOOBIG:
            return error(
                Category::damaged,
                worded(
                    "a value is far larger than anything that a meet holds; go back to a copy of the file"));
        case SQLITE_NOTADB:
            return error(Category::damaged, worded("this is not a meet file"));
        case SQLITE_CORRUPT:
            return error(Category::damaged,
                         worded("the file is cut off or damaged; go back to a copy of it"));
        case SQLITE_CONSTRAINT:
            return error(Category::damaged, worded("the change contradicts what the file holds"));
        default:
            return error(Category::io, worded("the file cannot be read or written"));
    }
}

// The file's first bytes, through the layer itself: a handle of our own, closed, would drop SQLite's locks.
std::string first_bytes(const Place& place) {
    sqlite3_vfs* layer = layer_of(place);
    std::vector<std::max_align_t> room(static_cast<std::size_t>(layer->szOsFile) / sizeof(std::max_align_t) +
                                       1);
    auto* file = reinterpret_cast<sqlite3_file*>(room.data());
    const std::string path = place.path.string();
    const std::unique_ptr<const char, void (*)(const char*)> name(
        sqlite3_create_filename(path.c_str(), "", "", 0, nullptr),
        [](const char* text) { sqlite3_free_filename(const_cast<char*>(text)); });
    int opened_with = 0;
    const int opened =
        layer->xOpen(layer, name.get(), file, SQLITE_OPEN_READONLY | SQLITE_OPEN_MAIN_DB, &opened_with);
    if (opened != SQLITE_OK) {
        if (file->pMethods != nullptr) file->pMethods->xClose(file);
        refuse(place, Category::io, worded("the file cannot be opened; see its permissions"));
    }
    sqlite3_int64 size = 0;
    std::string bytes;
    int read = file->pMethods->xFileSize(file, &size);
    if (read == SQLITE_OK) {
        bytes.resize(std::min<std::size_t>(kHeaderBytes, static_cast<std::size_t>(size)));
        if (!bytes.empty())
            read = file->pMethods->xRead(file, bytes.data(), static_cast<int>(bytes.size()), 0);
    }
    file->pMethods->xClose(file);
    if (read != SQLITE_OK) refuse(place, Category::io, worded("the file cannot be read"));
    return bytes;
}

bool has_unfinished_change(const Place& place) {
    int exists = 0;  // an empty journal stands for no change
    layer_of(place)->xAccess(layer_of(place), (place.path.string() + "-journal").c_str(),
                             SQLITE_ACCESS_EXISTS, &exists);
    return exists != 0;
}

// Before SQLite opens the file: what is no database at all, and the journal mode in which even a reader would
// create files beside it.
void check_first_bytes(const Place& place) {
    const Result<bool> exists = file_exists(place);
    if (!exists) throw Refusal{exists.error()};
    if (!*exists) refuse(place, Category::not_found, worded("there is no such file"));
    const std::string bytes = first_bytes(place);
    if (has_unfinished_change(place)) return;  // the first page may be half written; SQLite puts it right
    if (bytes.empty()) {
        refuse(
            place, Category::damaged,
            worded(
                "the file is empty: the program stopped while it was being made; remove it and make the meet "
                "again"));
    }
    if (bytes.substr(0, 16) != std::string_view("SQLite format 3\0", 16))
        refuse(place, Category::damaged, worded("this is not a meet file"));
    if (bytes.size() < kHeaderBytes)
        refuse(place, Category::damaged, worded("the file is cut off after its first bytes"));
    if (bytes[18] != 1 || bytes[19] != 1)
        refuse(place, Category::damaged,
               worded("another program has changed how the file is written; go back to a copy of it"));
}

std::string absolute_name(const Place& place) {
    return place.path.string();  // begins with '/', so that SQLite cannot take it for a URI
}

// A connection belongs to one thread at a time, so SQLite need not lock at every value that is read.
int flags_for(Access access) {
    switch (access) {
        case Access::create:
            return SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE | SQLite::OPEN_NOMUTEX;
        case Access::write:
            return SQLite::OPEN_READWRITE | SQLite::OPEN_NOMUTEX;
        case Access::read:
        case Access::read_at_once:
            break;
    }
    return SQLite::OPEN_READONLY | SQLite::OPEN_NOMUTEX;
}

}  // namespace

Result<bool> file_exists(const Place& place) {
    sqlite3_vfs* layer = layer_of(place);
    if (layer == nullptr)
        return Error{Category::io, worded("no file layer of the name '{}' is registered", place.layer), ""};
    int exists = 0;
    layer->xAccess(layer, place.path.c_str(), SQLITE_ACCESS_EXISTS, &exists);
    std::error_code ignored;  // the system's layer says of an empty file that it does not exist
    return exists != 0 || (place.layer.empty() && std::filesystem::exists(place.path, ignored));
}

void remove_file(const Place& place) {
    sqlite3_vfs* layer = layer_of(place);
    layer->xDelete(layer, place.path.c_str(), 1);
    layer->xDelete(layer, (place.path.string() + "-journal").c_str(), 1);
}

Connection::Connection(const Place& place, Access access)
    : db_(absolute_name(place), flags_for(access), access == Access::read_at_once ? 0 : kPatienceMilliseconds,
          place.layer) {
    sqlite3* handle = db_.getHandle();
    sqlite3_extended_result_codes(handle, 1);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_limit(handle, SQLITE_LIMIT_LENGTH, kLongestRow);
    db_.exec("PRAGMA cell_size_check = ON");
    db_.exec("PRAGMA foreign_keys = ON");
    if (access == Access::read || access == Access::read_at_once) return;
    if (sqlite3_db_readonly(handle, "main") == 1)
        refuse(place, Category::io,
               worded("the file cannot be written; see its permissions, or open it for reading only"));
    // One file, and nothing lost: the journal is deleted and its folder synced before a commit returns
    // (docs).
    db_.exec("PRAGMA synchronous = EXTRA");
    db_.exec("PRAGMA secure_delete = ON");
}

// Reading takes older versions as they are; writing brings them to ours first, after the same checks.
void Connection::bring_up_to_date() {
    const int version = db_.execAndGet("PRAGMA user_version").getInt();
    if (version == kSchemaVersion) return;
    SQLite::Transaction step(db_, SQLite::TransactionBehavior::IMMEDIATE);
    migrate(db_, version);
    step.commit();
}

void Connection::check_format(const Place& place) {
    SQLite::Transaction reading(db_);  // one moment of the file for all that follows
    if (db_.execAndGet("PRAGMA application_id").getInt() != kApplicationId)
        refuse(place, Category::damaged, worded("this is a database, but not a meet file"));
    const int version = db_.execAndGet("PRAGMA user_version").getInt();
    if (version > kSchemaVersion) {
        refuse(
            place, Category::unsupported,
            worded(
                "the file was made by a newer version of the program (its format is {}, this version knows "
                "{}); use that one",
                version, kSchemaVersion));
    }
    if (version < 1)
        refuse(place, Category::damaged, worded("the file carries no version of the meet file format"));
    const Sentence difference = schema_difference(db_, version);
    if (!difference.empty()) refuse(place, Category::damaged, worded("the file is damaged: {}", difference));
    sqlite3_file* file = nullptr;
    sqlite3_int64 size = 0;
    sqlite3_file_control(db_.getHandle(), "main", SQLITE_FCNTL_FILE_POINTER, &file);
    if (file == nullptr || file->pMethods->xFileSize(file, &size) != SQLITE_OK) return;
    const std::int64_t page = db_.execAndGet("PRAGMA page_size").getInt64();
    const std::int64_t expected = db_.execAndGet("PRAGMA page_count").getInt64() * page;
    bytes_after_end_ = std::max<std::int64_t>(0, size - expected);
    if (size < expected || bytes_after_end_ % page != 0) {
        refuse(place, Category::damaged,
               worded("the file has {} bytes where its header says {}; go back to a copy of it",
                      static_cast<std::int64_t>(size), expected));
    }
}

// Through memory, so that no other file ever holds what is erased.
void Connection::write_anew() {
    db_.exec("PRAGMA temp_store = MEMORY");
    db_.exec("VACUUM");
    bytes_after_end_ = 0;
}

Result<std::unique_ptr<Connection>> Connection::open(const Place& place, Access access) {
    std::unique_ptr<Connection> connection;
    const Result<void> opened = guarded(place, [&] {
        if (access != Access::create) check_first_bytes(place);
        connection.reset(new Connection(place, access));
        if (access != Access::create) connection->check_format(place);
        if (access == Access::write) connection->bring_up_to_date();
    });
    if (!opened) return opened.error();
    return connection;
}

Result<void> guarded(const Place& place, const std::function<void()>& work) {
    try {
        work();
        return {};
    } catch (const Refusal& refusal) {
        return refusal.error;
    } catch (const ReadProblem& problem) {
        return Error{Category::damaged, worded("the file is damaged: {}", whole_of(problem.error)),
                     place.path.string()};
    } catch (const SQLite::Exception& problem) {
        return sqlite_error(place, problem);
    }
}

}  // namespace plumbmark::store
