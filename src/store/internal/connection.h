// One connection to a meet file, set up so that what is committed stays.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "base/result.h"
#include "store/internal/sql.h"

namespace plumbmark::store {

/// read_at_once: as read, but busy where that would mean to wait for a writer.
enum class Access { create, write, read, read_at_once };

/// Where a meet file is: its absolute path and the SQLite file layer it is reached through (empty: the
/// system's).
struct Place {
    std::filesystem::path path;
    std::string layer;
};

/// Whether a file of this name exists on that layer.
[[nodiscard]] base::Result<bool> file_exists(const Place& place);
/// Removes a file that create() began and could not finish.
void remove_file(const Place& place);

class Connection {
  public:
    /// create: makes an empty file. write, read: opens a meet file and checks cheaply that it is one: marked
    /// as such, of a known version, with exactly that version's tables, not cut off. write brings a file of
    /// an older version to this one; read changes and creates nothing. Errors as MeetFile::open.
    [[nodiscard]] static base::Result<std::unique_ptr<Connection>> open(const Place& place, Access access);

    [[nodiscard]] SQLite::Database& db() { return db_; }
    [[nodiscard]] Sql& sql() { return sql_; }

    /// Bytes that the file has after its end, whole pages of them. SQLite cuts a file off after the change
    /// that made it shorter (write_anew()) is confirmed, and a program may be stopped between the two. Only
    /// after an erasure it is not damage.
    [[nodiscard]] std::int64_t bytes_after_end() const { return bytes_after_end_; }
    /// Writes all pages anew, so that nothing that was erased is left between them or after them: what is
    /// freed is overwritten (secure_delete), but where pages were divided earlier, the old one may still hold
    /// what was moved to the new one. Outside a transaction. Throws SQLite::Exception.
    void write_anew();

  private:
    Connection(const Place& place, Access access);
    void check_format(const Place& place);
    void bring_up_to_date();

    SQLite::Database db_;
    Sql sql_{db_};
    std::int64_t bytes_after_end_ = 0;
};

/// Runs 'work', and turns what SQLite or a reader throws into an Error that a person can act on. Work that
/// reads a row which cannot be makes the error damaged.
[[nodiscard]] base::Result<void> guarded(const Place& place, const std::function<void()>& work);

/// Thrown inside guarded() for an error that is worded already.
struct Refusal {
    base::Error error;
};

}  // namespace plumbmark::store
