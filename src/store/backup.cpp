#include "store/backup.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <ctime>
#include <memory>
#include <system_error>

#include "base/worded.h"
#include "store/internal/contents.h"
#include "store/internal/write_lock.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

namespace fs = std::filesystem;
using base::Category;
using base::Error;
using base::Result;

constexpr int kPagesAtOnce = 1'000;

Place place_of(const fs::path& path) {
    return {fs::absolute(path).lexically_normal(), {}};
}

Error failed(const fs::path& file, const std::string& what, int problem) {
    return {Category::io, fmt::format("{} ({})", what, std::generic_category().message(problem)),
            file.string()};
}

/// Removes what was begun, unless it was finished.
class Begun {
  public:
    explicit Begun(fs::path file) : file_(std::move(file)) {}
    Begun(const Begun&) = delete;
    Begun& operator=(const Begun&) = delete;
    ~Begun() {
        std::error_code ignored;
        fs::remove(file_, ignored);
        fs::remove(file_.string() + "-journal", ignored);
    }
    [[nodiscard]] const fs::path& file() const { return file_; }

  private:
    fs::path file_;
};

// Also what a program that was killed had begun is written anew.
Result<Place> empty_file(const fs::path& file) {
    const int handle = ::open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0644);
    if (handle < 0)
        return failed(file, "the copy cannot be made here; see the permissions of the folder", errno);
    ::close(handle);
    return place_of(file);
}

Result<void> sync(const fs::path& file) {
    const int handle = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
    if (handle < 0) return failed(file, "it cannot be brought to the disk", errno);
    const int problem = ::fsync(handle) == 0 ? 0 : errno;
    ::close(handle);
    if (problem != 0) return failed(file, "it cannot be brought to the disk; is the disk full?", problem);
    return {};
}

Result<void> sync_folder_of(const fs::path& file) {
    return sync(file.parent_path());
}

[[noreturn]] void throw_sqlite(SQLite::Database& db) {
    throw SQLite::Exception(db.getHandle());
}

/// Both are open; the source inside a transaction, so that it stands still.
void copy_pages(SQLite::Database& from, SQLite::Database& to, const CopyProgress& progress) {
    std::unique_ptr<sqlite3_backup, int (*)(sqlite3_backup*)> copy(
        sqlite3_backup_init(to.getHandle(), "main", from.getHandle(), "main"), sqlite3_backup_finish);
    if (!copy) throw_sqlite(to);
    for (int step = SQLITE_OK; step != SQLITE_DONE;) {
        step = sqlite3_backup_step(copy.get(), kPagesAtOnce);
        if (step != SQLITE_OK && step != SQLITE_DONE) {
            copy.reset();  // which tells the copy's connection what went wrong
            throw_sqlite(to);
        }
        const double all = sqlite3_backup_pagecount(copy.get());
        const double left = sqlite3_backup_remaining(copy.get());
        if (progress && !progress(all > 0 ? (all - left) / all : 1.0))
            throw Refusal{{Category::cancelled, "The copying was stopped; nothing was changed.", ""}};
    }
}

Result<void> copy_into(Connection& source, const Place& part, const CopyProgress& progress) {
    return guarded(part, [&] {
        SQLite::Transaction reading(source.db());
        source.sql().rows("SELECT max(number) FROM journal", [](SQLite::Statement&) {});
        SQLite::Database copy(part.path.string(), SQLite::OPEN_READWRITE);
        sqlite3_extended_result_codes(copy.getHandle(), 1);
        // A copy that is not finished is thrown away, and a finished one is synced as a whole.
        copy.exec("PRAGMA journal_mode = OFF");
        copy.exec("PRAGMA synchronous = OFF");
        copy_pages(source.db(), copy, progress);
    });
}

// A name is given to a file without taking it from another: link(2) refuses where rename(2) would replace.
Result<void> give_name(const fs::path& part, const fs::path& name) {
    if (::link(part.c_str(), name.c_str()) == 0) return {};
    const int problem = errno;
    if (problem == EEXIST)
        return Error{Category::io, "there is a file of this name already; choose another", name.string()};
    return failed(name, "the file cannot be given its name", problem);
}

Result<std::int64_t> verified_rows(const fs::path& file) {
    const Result<ChainReport> report = verify_chain(file);
    if (!report) return report.error();
    if (!report->whole)
        return Error{Category::damaged, "its journal is broken: " + report->sentence, file.string()};
    return report->rows;
}

/// Copies to a file beside 'name' that does not have its name yet, verified and synced.
Result<std::int64_t> copy_beside(const fs::path& from, const fs::path& part, const CopyProgress& progress) {
    const Place source = place_of(from);
    Result<std::unique_ptr<Connection>> connection = Connection::open(source, Access::read);
    if (!connection) return connection.error();
    const Result<Place> copy = empty_file(part);
    if (!copy) return copy.error();
    if (Result<void> copied = copy_into(**connection, *copy, progress); !copied) return copied.error();
    const Result<std::int64_t> rows = verified_rows(part);
    if (!rows)
        return Error{rows.error().category,
                     base::worded("it is not a meet file that can be trusted: {}", rows.error().sentence),
                     from.string()};
    if (Result<void> synced = sync(part); !synced) return synced.error();
    return *rows;
}

struct Identity {
    std::string meet;
    std::string name;
    std::int64_t rows = 0;
};

Result<Identity> identity_of(const fs::path& file) {
    Result<std::unique_ptr<Connection>> connection = Connection::open(place_of(file), Access::read);
    if (!connection) return connection.error();
    Identity identity;
    const Result<void> read = guarded(place_of(file), [&] {
        identity.meet = read_identity(**connection);
        (*connection)->sql().rows("SELECT name FROM meet", [&](SQLite::Statement& row) {
            identity.name = row.getColumn(0).getString();
        });
        (*connection)
            ->sql()
            .rows("SELECT coalesce(max(number), 0) FROM journal",
                  [&](SQLite::Statement& row) { identity.rows = row.getColumn(0).getInt64(); });
    });
    if (!read) return read.error();
    return identity;
}

/// The rows of what is there now, 0 where it cannot be read; then it may be replaced whatever it is.
Result<std::int64_t> look_at_old(const fs::path& meet_file, const fs::path& backup) {
    const Result<Identity> old = identity_of(meet_file);
    if (!old) return std::int64_t{0};
    const Result<Identity> copy = identity_of(backup);
    if (!copy) return copy.error();
    if (old->meet == copy->meet) return old->rows;
    return Error{
        Category::bad_input,
        fmt::format("it is a backup of another meet ('{}'), and this file is of '{}'; move this file "
                    "away first if that is meant",
                    copy->name, old->name),
        meet_file.string()};
}

// A change that was half written stands in the file and in the rollback journal beside it. They stay together
// under the kept name, where the next opening puts them right; beside the new file that journal would be
// taken for its own.
Result<void> keep_old(const fs::path& meet_file, const fs::path& keep_as) {
    if (Result<void> named = give_name(meet_file, keep_as); !named) return named;
    const std::string journal = meet_file.string() + "-journal";
    if (::access(journal.c_str(), F_OK) != 0) return {};
    if (::rename(journal.c_str(), (keep_as.string() + "-journal").c_str()) == 0) return {};
    return failed(journal, "the journal beside the file cannot be moved away", errno);
}

}  // namespace

Result<Copied> back_up(const fs::path& meet_file, const fs::path& copy, const CopyProgress& progress) {
    const fs::path name = place_of(copy).path;
    std::error_code unknown;
    if (fs::exists(fs::symlink_status(name, unknown)))
        return Error{Category::io, "there is a file of this name already; choose another", name.string()};
    const Begun part(name.string() + ".part");
    const Result<std::int64_t> rows = copy_beside(meet_file, part.file(), progress);
    if (!rows) return rows.error();
    if (Result<void> named = give_name(part.file(), name); !named) return named.error();
    if (Result<void> synced = sync_folder_of(name); !synced) return synced.error();
    return Copied{name, *rows};
}

fs::path backup_name(const fs::path& meet_file, const std::string& word, std::int64_t seconds_since_1970) {
    const auto seconds = static_cast<std::time_t>(seconds_since_1970);
    std::tm parts{};
    ::localtime_r(&seconds, &parts);
    std::array<char, 32> when{};
    std::strftime(when.data(), when.size(), "%Y-%m-%d %H.%M.%S", &parts);
    const std::string stem = meet_file.stem().string() + " " + (word.empty() ? "" : word + " ");
    return meet_file.parent_path() / (stem + when.data() + meet_file.extension().string());
}

Result<Restored> restore(const fs::path& backup, const fs::path& meet_file, const fs::path& keep_as,
                         const CopyProgress& progress) {
    const fs::path name = place_of(meet_file).path;
    std::error_code unknown;
    if (fs::equivalent(backup, name, unknown))
        return Error{Category::bad_input, "the backup and the meet file are one and the same file",
                     name.string()};
    const Begun part(name.string() + ".part");
    const Result<std::int64_t> rows = copy_beside(backup, part.file(), progress);
    if (!rows) return rows.error();
    const Result<WriteLock> lock = WriteLock::take(name);
    if (!lock) return lock.error();
    Restored restored;
    restored.rows = *rows;
    if (fs::exists(name, unknown)) {
        const Result<std::int64_t> before = look_at_old(name, part.file());
        if (!before) return before.error();
        restored.rows_before = *before;
        restored.kept = place_of(keep_as).path;
        if (Result<void> kept = keep_old(name, restored.kept); !kept) return kept.error();
        if (Result<void> synced = sync_folder_of(restored.kept); !synced) return synced.error();
    }
    if (::rename(part.file().c_str(), name.c_str()) != 0)
        return failed(name, "the backup cannot be put in its place; what was there still is", errno);
    if (Result<void> synced = sync_folder_of(name); !synced) return synced.error();
    return restored;
}

}  // namespace plumbmark::store
