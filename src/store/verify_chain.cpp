// Recomputes the chain from its first row, replays it, and holds the tables against what it says.
#include <fmt/format.h>

#include <map>
#include <set>

#include "store/internal/contents.h"
#include "store/internal/strict_reader.h"
#include "store/meet_file.h"

namespace plumbmark::store {
namespace {

std::string thing_name(meet::EntityKey key) {
    return fmt::format("{} {}", meet::kind_word(key.kind), key.id);
}

class Verifier {
  public:
    explicit Verifier(Connection& connection) : connection_(connection) {}

    ChainReport run() {
        SQLite::Transaction reading(connection_.db());
        check_pages();
        previous_ = genesis(read_identity(connection_));
        connection_.sql().rows("SELECT number, previous, json, sha256 FROM journal ORDER BY number",
                               [&](SQLite::Statement& row) {
                                   if (report_.whole) check_row(row);
                               });
        if (report_.whole && report_.rows == 0) blame(1, "the journal is empty");
        if (report_.whole) check_tables();
        if (report_.whole) check_apart();
        if (report_.whole) check_end();
        if (report_.whole) report_.sentence = praise();
        return report_;
    }

  private:
    void blame(std::int64_t row, std::string sentence) {
        report_.whole = false;
        report_.first_bad_row = row;
        report_.sentence = std::move(sentence);
    }

    void check_pages() {
        connection_.sql().rows("PRAGMA integrity_check(1)", [&](SQLite::Statement& row) {
            const std::string found = row.getColumn(0).getString();
            if (found != "ok") fail_at("", found);
        });
        connection_.sql().rows("PRAGMA foreign_key_check", [&](SQLite::Statement& row) {
            fail_at("table " + row.getColumn(0).getString(),
                    "one of its rows refers to a row that is missing");
        });
    }

    void check_row(SQLite::Statement& row) {
        const std::int64_t number = row.getColumn(0).getInt64();
        const std::string json = row.getColumn(2).getString();
        const std::int64_t expected = report_.rows + 1;
        if (number != expected) return blame(expected, fmt::format("journal row {} is missing", expected));
        if (sha256_hex(json) != row.getColumn(3).getString())
            return blame(number,
                         fmt::format("journal row {} was changed: it is not what its hash says", number));
        if (row.getColumn(1).getString() != previous_)
            return blame(number, fmt::format("journal row {} does not follow the row before it", number));
        try {
            replay(number, parse_row(json));
        } catch (const ReadProblem& problem) {
            return blame(number,
                         fmt::format("journal row {} cannot be read: {}", number, problem.error.text()));
        }
        previous_ = row.getColumn(3).getString();
        report_.rows = number;
    }

    void replay(std::int64_t number, const RowContent& content) {
        if (content.number != number || content.previous != previous_)
            return blame(number, fmt::format("journal row {} says that it is row {}, or follows another one",
                                             number, content.number));
        if (const base::Result<void> applied = state_.apply(content.change); !applied)
            return blame(number, fmt::format("journal row {} does not fit what came before: {}", number,
                                             applied.error().text()));
        for (const meet::Edit& edit : content.change.edits) {
            last_row_of_[edit.key()] = number;
            note_hashes(number, edit.before);
            note_hashes(number, edit.after);
        }
        removed_.insert(content.removed.begin(), content.removed.end());
    }

    void note_hashes(std::int64_t number, const std::optional<meet::Entity>& sealed) {
        if (!sealed) return;
        for (const std::string* field : meet::personal_members(*sealed)) {
            if (!field->empty()) first_row_of_hash_.emplace(*field, number);
        }
    }

    // Things of the tables and of the replayed journal, each against the other.
    void check_tables() {
        meet::State tables;
        try {
            tables = read_sealed_state(connection_);
        } catch (const ReadProblem& problem) {
            return blame(report_.rows,
                         "the tables do not hold what the journal says: " + problem.error.text());
        }
        for (const auto& [key, row] : last_row_of_) {
            if (tables.find(key) != state_.find(key))
                return blame(row, fmt::format("the tables hold another {} than journal row {} says",
                                              thing_name(key), row));
        }
        if (tables != state_)
            blame(report_.rows,
                  "the tables hold things that no journal row knows, or ids that it never gave");
    }

    void check_apart() {
        std::set<std::string> missing;
        for (const auto& [hash, row] : first_row_of_hash_)
            missing.insert(hash);
        connection_.sql().rows("SELECT hash, salt, value FROM apart", [&](SQLite::Statement& row) {
            const std::string hash = row.getColumn(0).getString();
            if (!report_.whole) return;
            if (missing.erase(hash) == 0)
                return blame(report_.rows, "a personal value is kept that no journal row names: " + hash);
            check_apart_value(hash, row);
        });
        if (report_.whole && !missing.empty())
            blame(first_row_of_hash_.at(*missing.begin()),
                  fmt::format("the personal value that journal row {} names is missing: {}",
                              first_row_of_hash_.at(*missing.begin()), *missing.begin()));
    }

    void check_apart_value(const std::string& hash, SQLite::Statement& row) {
        const std::int64_t named_in = first_row_of_hash_.at(hash);
        const bool erased = row.getColumn(2).isNull();
        if (erased && !removed_.contains(hash))
            return blame(named_in,
                         fmt::format("the personal value that journal row {} names was erased, and no row "
                                     "says so: {}",
                                     named_in, hash));
        if (erased) return;
        if (removed_.contains(hash))
            return blame(named_in,
                         "a personal value that the journal says was erased is there again: " + hash);
        if (apart_hash(row.getColumn(1).getString(), row.getColumn(2).getString()) != hash)
            blame(named_in, fmt::format("the personal value that journal row {} names was changed: {}",
                                        named_in, hash));
    }

    // What was erased may still stand there, and so may what somebody put there.
    void check_end() {
        const std::int64_t more = connection_.bytes_after_end();
        if (more == 0) return;
        blame(report_.rows, fmt::format("the journal and the tables are whole, but the file goes on for {} "
                                        "bytes after its end, as when a program is stopped while it clears "
                                        "what was erased; open it once for writing, which removes them",
                                        more));
    }

    [[nodiscard]] std::string praise() const {
        std::string sentence = fmt::format(
            "all {} journal rows follow one another, and the tables hold what they say", report_.rows);
        if (!removed_.empty()) sentence += fmt::format("; {} personal values were erased", removed_.size());
        return sentence;
    }

    Connection& connection_;
    ChainReport report_;
    std::string previous_;
    meet::State state_;
    std::map<meet::EntityKey, std::int64_t> last_row_of_;
    std::map<std::string, std::int64_t> first_row_of_hash_;
    std::set<std::string> removed_;
};

}  // namespace

base::Result<ChainReport> verify_chain(const std::filesystem::path& path, const std::string& file_layer) {
    const Place place{std::filesystem::absolute(path).lexically_normal(), file_layer};
    base::Result<std::unique_ptr<Connection>> connection = Connection::open(place, Access::read);
    if (!connection) return connection.error();
    ChainReport report;
    const base::Result<void> read = guarded(place, [&] { report = Verifier(**connection).run(); });
    if (!read) return read.error();
    return report;
}

}  // namespace plumbmark::store
