// The meet file: one SQLite database that can be trusted. Every change is one transaction together with its
// journal row; rows are chained by SHA-256 over canonical JSON (RFC 8785). The format stands in
// docs/meet-file.md.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"

namespace plumbmark::store {

/// Names one submitted change; counts up from 1 within one opening of the file.
using Ticket = std::int64_t;

/// One row of the journal as it is kept.
struct JournalRow {
    std::int64_t number = 0;     ///< from 1, without gaps
    std::string canonical_json;  ///< the bytes that were hashed
    std::string sha256;          ///< hex, of canonical_json
    std::string label;
    std::string written_at;  ///< UTC, RFC 3339
};

/// What verifying the chain found.
struct ChainReport {
    std::int64_t rows = 0;
    bool whole = true;
    std::int64_t first_bad_row = 0;  ///< 0 when whole
    std::string sentence;            ///< says what is wrong where, or that all is well
};

struct OpenOptions {
    bool read_only = false;
    /// Wall clock for journal rows: nanoseconds since 1970-01-01 UTC. Empty: the system's.
    std::function<std::int64_t()> clock;
    /// Random bytes for salts. Empty: libsodium's. A fixed source makes a file reproducible (the sample
    /// meet).
    std::function<void(unsigned char* bytes, std::size_t count)> random;
    /// Name of a registered SQLite file layer; empty: the system's. Tests give one that loses what was not
    /// synced.
    std::string file_layer;
    /// Called from the writer thread after each commit or failure; must return at once and not call back in.
    std::function<void()> wake;
};

/// An open meet file with its writer thread.
/// Threads: all members may be called from one owner thread; none but flush() and close() waits for the disk.
class MeetFile {
  public:
    /// Makes a new file. Error io when one exists already or the place cannot be written.
    [[nodiscard]] static base::Result<MeetFile> create(const std::filesystem::path& path,
                                                       const meet::MeetInfo& info, OpenOptions options = {});
    /// Opens an existing file. Errors: not_found, damaged (not a meet file, or a broken one, named), busy
    /// (another program writes to it), unsupported (made by a newer version), io.
    [[nodiscard]] static base::Result<MeetFile> open(const std::filesystem::path& path,
                                                     OpenOptions options = {});

    MeetFile(MeetFile&&) noexcept;
    MeetFile& operator=(MeetFile&&) noexcept;
    ~MeetFile();  ///< writes what is queued, then closes

    [[nodiscard]] const std::filesystem::path& path() const;
    /// The 32 hexadecimal digits that were drawn when the file was made; signatures name the meet by them.
    [[nodiscard]] const std::string& identity() const;
    /// What the file held when it was opened.
    [[nodiscard]] const meet::State& loaded() const;
    /// The same, given away: loaded() is empty from then on. A large meet is then in memory once less.
    [[nodiscard]] meet::State take_loaded();

    /// Queues a change, which must apply to the state after all changes queued before it. Returns at once.
    Ticket submit(const meet::Change& change);
    /// The same, and erases every value that the personal fields of the things it edits held before and do
    /// not hold after it, also for undo: so a person's data go on request, and the journal still verifies.
    /// So does all that the things of 'also' held before and do not hold now, whether they still exist or
    /// not.
    Ticket submit_erasing(const meet::Change& change, std::vector<meet::EntityKey> also = {});
    /// All tickets up to this one are on the disk for good.
    [[nodiscard]] Ticket committed() const;
    /// Set once a write failed (disk full, device gone, file taken away). Nothing after it is written; what
    /// was submitted and not committed is still in memory and can be tried again with retry().
    [[nodiscard]] std::optional<base::Error> failure() const;
    /// Tries the failed and all later changes again. Returns at once.
    void retry();
    /// Waits until everything submitted is committed or a write failed.
    [[nodiscard]] base::Result<void> flush();

    /// Journal rows number 'from' and up, at most 'most'. Reads the disk; only rows already committed.
    [[nodiscard]] base::Result<std::vector<JournalRow>> journal(std::int64_t from, std::int64_t most) const;
    /// The changes those rows stand for (personal values put back in), for undo across openings.
    [[nodiscard]] base::Result<std::vector<meet::Change>> changes(std::int64_t from, std::int64_t most) const;
    /// Number of the last journal row of a committed ticket; 0 while it is not committed.
    [[nodiscard]] std::int64_t row_of(Ticket ticket) const;
    /// Journal rows that were there when the file was opened (1 for a new file: its making). Ticket t becomes
    /// row rows_at_open() + t, since only one program writes.
    [[nodiscard]] std::int64_t rows_at_open() const;

  private:
    struct Inner;
    explicit MeetFile(std::unique_ptr<Inner> inner);
    std::unique_ptr<Inner> inner_;
};

/// Recomputes the whole chain of a meet file and holds the tables against it, without changing anything.
[[nodiscard]] base::Result<ChainReport> verify_chain(const std::filesystem::path& path,
                                                     const std::string& file_layer = {});

/// JSON text in the canonical form of RFC 8785 (numbers as ECMAScript prints them, members sorted by UTF-16
/// code units). Error bad_input when the text is not JSON.
[[nodiscard]] base::Result<std::string> canonical_json(const std::string& json_text);

/// SHA-256 (FIPS 180-4) as 64 lower-case hex digits.
[[nodiscard]] std::string sha256_hex(const std::string& bytes);

}  // namespace plumbmark::store
