#include "store/seals.h"

#include <fmt/format.h>

#include <cctype>
#include <charconv>
#include <map>

#include "meet/competition_words.h"
#include "store/internal/contents.h"
#include "store/internal/record_json.h"
#include "store/internal/words.h"
#include "store/meet_file.h"
#include "store/signing.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr const char* kLineWord = "PM1";
constexpr std::size_t kHashDigits = 64, kGroup = 8, kCheckDigits = 4;

std::string check_digits(const std::string& row, const std::string& sha256) {
    return sha256_hex(std::string(kLineWord) + "-" + row + "-" + sha256).substr(0, kCheckDigits);
}

Error no_line(const std::string& why) {
    return {Category::bad_input,
            why + " A seal line reads PM1-ROW-HASH-CHECK, with eight groups of eight digits for the hash.",
            ""};
}

/// Walks the journal and keeps what it says of keys and seals.
class SealVerifier {
  public:
    explicit SealVerifier(Connection& connection) : connection_(connection) {}

    SealReport run() {
        SQLite::Transaction reading(connection_.db());
        meet_ = read_identity(connection_);
        values_ = read_apart_values(connection_);
        connection_.sql().rows("SELECT number, json, sha256 FROM journal ORDER BY number",
                               [&](SQLite::Statement& row) {
                                   report_.rows = row.getColumn(0).getInt64();
                                   report_.last_row_sha256 = row.getColumn(2).getString();
                                   hashes_[report_.rows] = report_.last_row_sha256;
                                   const RowContent content = parse_row(row.getColumn(1).getString());
                                   for (const meet::Edit& edit : content.change.edits)
                                       take(edit);
                               });
        return std::move(report_);
    }

  private:
    void blame(const std::string& sentence) {
        if (report_.problem.empty()) report_.problem = sentence;
    }

    void take(const meet::Edit& edit) {
        const meet::EntityKey key = edit.key();
        if (key.kind == meet::Kind::key) take_key(edit);
        if (key.kind == meet::Kind::seal) take_seal(edit);
    }

    void take_key(const meet::Edit& edit) {
        if (edit.before && edit.after) return compare_keys(edit);
        if (!edit.after) return remove_key(std::get<meet::SigningKey>(*edit.before));
        add_key(std::get<meet::SigningKey>(unsealed(*edit.after, values_)));
    }

    // The holder's name may go on request; all else stays.
    void compare_keys(const meet::Edit& edit) {
        meet::SigningKey before = std::get<meet::SigningKey>(*edit.before);
        const auto& after = std::get<meet::SigningKey>(*edit.after);
        before.holder = after.holder;
        if (!(before == after))
            blame(fmt::format("journal row {} changes signing key {}, which is never changed", report_.rows,
                              after.id.value));
    }

    void remove_key(const meet::SigningKey& gone) {
        for (KeyHistory& history : report_.keys) {
            if (history.key.id == gone.id && history.until == 0) history.until = report_.rows;
        }
        if (in_force_ != gone.id) return;
        in_force_ = {};
        for (KeyHistory& history : report_.keys) {
            if (history.key.id != gone.replaces) continue;
            history.until = 0;
            in_force_ = history.key.id;
        }
    }

    void add_key(meet::SigningKey key) {
        KeyHistory history{std::move(key), report_.rows, 0, false};
        const meet::SigningKey& added = history.key;
        if (added.replaces != in_force_)
            blame(fmt::format("signing key {}, of journal row {}, does not replace the key that was in force",
                              added.id.value, report_.rows));
        for (KeyHistory& other : report_.keys) {
            if (other.key.id != added.replaces || !added.replaces.valid()) continue;
            other.until = report_.rows;
            history.gap = added.signature.empty();
            if (!history.gap &&
                !is_signed(other.key.public_key, key_statement(meet_, other.key.public_key, added),
                           added.signature))
                blame(
                    fmt::format("signing key {}, of journal row {}, carries a signature that is not the one "
                                "of the key it replaces",
                                added.id.value, report_.rows));
        }
        in_force_ = added.id;
        report_.keys.push_back(std::move(history));
    }

    void take_seal(const meet::Edit& edit) {
        if (edit.before && edit.after)
            return blame(fmt::format("journal row {} changes seal {}, which is never changed", report_.rows,
                                     edit.key().id));
        if (edit.after) return add_seal(std::get<meet::Seal>(*edit.after));
        for (SealHistory& history : report_.seals) {
            if (history.seal.id.value == edit.key().id) history.taken_back = report_.rows;
        }
    }

    void add_seal(const meet::Seal& seal) {
        const std::string why = fault_of(seal);
        if (why.empty())
            report_.seals.push_back({seal, report_.rows, 0});
        else
            blame(fmt::format("seal {}, of journal row {}, {}", seal.id.value, report_.rows, why));
    }

    [[nodiscard]] std::string fault_of(const meet::Seal& seal) const {
        if (seal.row >= report_.rows) return "signs a row that is not before it";
        if (hashes_.at(seal.row) != seal.row_sha256)
            return fmt::format("was made for another row {} than the one that stands there", seal.row);
        const KeyHistory* key = report_.history_of(seal.key);
        if (key == nullptr || seal.key != in_force_) return "is made with a key that was not in force";
        if (seal.row < key->row) return fmt::format("signs row {}, from before its key came", seal.row);
        if (!is_signed(key->key.public_key, seal_statement(meet_, key->key.public_key, seal), seal.signature))
            return "carries a signature that is not the one of its key";
        return {};
    }

    Connection& connection_;
    SealReport report_;
    std::string meet_;
    ApartValues values_;
    std::map<std::int64_t, std::string> hashes_;
    meet::KeyId in_force_;
};

Result<void> read_file(const std::filesystem::path& path, const std::string& file_layer,
                       const std::function<void(Connection&)>& work) {
    const Place place{std::filesystem::absolute(path).lexically_normal(), file_layer};
    const Result<bool> exists = file_exists(place);
    if (!exists) return exists.error();
    if (!*exists) return Error{Category::not_found, "there is no such file", place.path.string()};
    Result<std::unique_ptr<Connection>> connection = Connection::open(place, Access::read);
    if (!connection) return connection.error();
    return guarded(place, [&] { work(**connection); });
}

}  // namespace

std::string seal_statement(const std::string& meet, const std::string& public_key, const meet::Seal& seal) {
    return canonical_text(Json{{"format", "plumbmark-seal/1"},
                               {"meet", meet},
                               {"row", seal.row},
                               {"sha256", seal.row_sha256},
                               {"key", public_key},
                               {"at_ms", seal.at.ms},
                               {"publication", id_or_null(seal.publication.value)}});
}

std::string key_statement(const std::string& meet, const std::string& replaced_public_key,
                          const meet::SigningKey& key) {
    return canonical_text(Json{{"format", "plumbmark-key/1"},
                               {"meet", meet},
                               {"key", key.public_key},
                               {"replaces", replaced_public_key},
                               {"capacity", word_for(meet::kCapacityWords, key.capacity)},
                               {"added_at_ms", key.added_at.ms}});
}

std::string seal_line_text(const SealLine& line) {
    const std::string row = std::to_string(line.row);
    std::string text = std::string(kLineWord) + "-" + row;
    for (std::size_t at = 0; at < line.sha256.size(); at += kGroup)
        text += "-" + line.sha256.substr(at, kGroup);
    return text + "-" + check_digits(row, line.sha256);
}

Result<SealLine> read_seal_line(std::string_view text) {
    // Blanks, dashes and capitals come and go when a line is written down.
    std::vector<std::string> parts{""};
    for (const char c : text.substr(0, 1'000)) {
        if (c == '-')
            parts.emplace_back();
        else if (std::isspace(static_cast<unsigned char>(c)) == 0)
            parts.back().push_back(static_cast<char>(std::tolower(static_cast<unsigned char>(c))));
    }
    if (parts.size() < 4 || parts[0] != "pm1") return no_line("This is no seal line.");
    SealLine line;
    const std::string& row = parts[1];
    const auto end = std::from_chars(row.data(), row.data() + row.size(), line.row);
    if (end.ec != std::errc{} || end.ptr != row.data() + row.size() || std::to_string(line.row) != row ||
        line.row < 1)
        return no_line("Its second part is no row number.");
    for (std::size_t i = 2; i + 1 < parts.size(); ++i)
        line.sha256 += parts[i];
    if (line.sha256.size() != kHashDigits ||
        line.sha256.find_first_not_of("0123456789abcdef") != std::string::npos)
        return no_line(
            fmt::format("Its hash has {} digits and not 64, or is not hexadecimal.", line.sha256.size()));
    if (parts.back() != check_digits(row, line.sha256))
        return no_line("Its last four digits do not go with the others: something was copied wrongly.");
    return line;
}

std::int64_t SealReport::sealed_up_to() const {
    std::int64_t last = 0;
    for (const SealHistory& history : seals)
        last = std::max(last, history.seal.row);
    return last;
}

const KeyHistory* SealReport::history_of(meet::KeyId key) const {
    // The last of them: an undo and a redo bring a key again.
    const auto found = std::find_if(keys.rbegin(), keys.rend(),
                                    [key](const KeyHistory& history) { return history.key.id == key; });
    return found == keys.rend() ? nullptr : &*found;
}

Result<SealReport> verify_seals(const std::filesystem::path& path, const std::string& file_layer) {
    SealReport report;
    const Result<void> read =
        read_file(path, file_layer, [&](Connection& connection) { report = SealVerifier(connection).run(); });
    if (!read) return read.error();
    return report;
}

Result<std::optional<std::string>> row_hash(const std::filesystem::path& path, std::int64_t row) {
    std::optional<std::string> hash;
    const Result<void> read = read_file(path, {}, [&](Connection& connection) {
        connection.sql().rows(
            "SELECT sha256 FROM journal WHERE number = ?",
            [&](SQLite::Statement& found) { hash = found.getColumn(0).getString(); }, row);
    });
    if (!read) return read.error();
    return hash;
}

}  // namespace plumbmark::store
