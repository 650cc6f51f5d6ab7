// Meet files of any bytes: opening for reading gives an error or a meet, whose chain is then verified and
// whose journal is read; nothing crashes, hangs or asks for more memory than such a file needs. The mutator
// changes single values of the tables as well as bytes, since most changes of bytes go no further than
// SQLite.
#include <sqlite3.h>

#include <cstdint>
#include <cstring>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "base/check.h"
#include "store/lossy_disk.h"
#include "store/meet_file.h"

using namespace plumbmark;

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {

constexpr std::size_t kHeader = 100;
constexpr const char* kPath = "/fuzz.meet";

void expect_told(const base::Error& error) {
    PLUMBMARK_CHECK(!error.sentence.empty() && error.sentence.english().back() != '\n');
}

void read_all(const store::MeetFile& file) {
    const auto changes = file.changes(1, 1'000);
    if (!changes) expect_told(changes.error());
    const auto rows = file.journal(1, 1'000);
    if (!rows) expect_told(rows.error());
    for (const auto& [id, run] : file.loaded().runs()) {
        for (const meet::Mark& mark : file.loaded().marks_of(id))
            PLUMBMARK_CHECK(mark.run == id && !mark.sightings.empty());
    }
}

// --- changing one value ---

using Database = std::unique_ptr<sqlite3, int (*)(sqlite3*)>;
using Statement = std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)>;

Statement prepare(sqlite3* db, const std::string& text) {
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(db, text.c_str(), -1, &statement, nullptr);
    return {statement, sqlite3_finalize};
}

std::vector<std::string> texts(sqlite3* db, const std::string& query, int column) {
    std::vector<std::string> found;
    const Statement statement = prepare(db, query);
    while (statement && sqlite3_step(statement.get()) == SQLITE_ROW) {
        const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement.get(), column));
        found.emplace_back(text != nullptr ? text : "");
    }
    return found;
}

std::string mutated(std::string bytes) {
    const std::size_t size = bytes.size();
    bytes.resize(size + 64);
    bytes.resize(LLVMFuzzerMutate(reinterpret_cast<std::uint8_t*>(bytes.data()), size, bytes.size()));
    return bytes;
}

/// Binds what is left of the value that 'from' has in its first column when it is changed.
void bind_changed(sqlite3_stmt* to, sqlite3_stmt* from, std::mt19937& random) {
    constexpr sqlite3_int64 kNumbers[] = {0, 1, -1, 2, 1'000, 9'007'199'254'740'992, INT64_MAX, INT64_MIN};
    if (random() % 16 == 0) {
        sqlite3_bind_null(to, 1);
    } else if (sqlite3_column_type(from, 0) == SQLITE_INTEGER) {
        sqlite3_bind_int64(
            to, 1,
            random() % 2 == 0 ? kNumbers[random() % std::size(kNumbers)] : sqlite3_column_int64(from, 0) + 1);
    } else {
        const auto* bytes = static_cast<const char*>(sqlite3_column_blob(from, 0));
        const auto count = static_cast<std::size_t>(sqlite3_column_bytes(from, 0));
        const std::string changed = mutated(bytes != nullptr ? std::string(bytes, count) : std::string());
        const int size = static_cast<int>(changed.size());
        if (sqlite3_column_type(from, 0) == SQLITE_BLOB)
            sqlite3_bind_blob(to, 1, changed.data(), size, SQLITE_TRANSIENT);
        else
            sqlite3_bind_text(to, 1, changed.data(), size, SQLITE_TRANSIENT);
    }
}

void change_value(sqlite3* db, std::mt19937& random) {
    const auto tables = texts(db, "SELECT name FROM sqlite_schema WHERE type = 'table'", 0);
    if (tables.empty()) return;
    const std::string table = tables[random() % tables.size()];
    const auto columns = texts(db, "SELECT name FROM pragma_table_info('" + table + "')", 0);
    if (columns.empty()) return;
    const std::string& column = columns[random() % columns.size()];
    const std::string key = columns.front();
    const std::string row = " LIMIT 1 OFFSET " + std::to_string(random() % 8);
    // The triggers that guard the journal are taken away and put back as they were.
    const auto triggers = texts(db, "SELECT name FROM sqlite_schema WHERE type = 'trigger'", 0);
    const auto makers = texts(db, "SELECT sql FROM sqlite_schema WHERE type = 'trigger'", 0);
    for (const std::string& name : triggers)
        sqlite3_exec(db, ("DROP TRIGGER \"" + name + "\"").c_str(), nullptr, nullptr, nullptr);
    const Statement old = prepare(db, "SELECT \"" + column + "\" FROM \"" + table + "\"" + row);
    const Statement change =
        prepare(db, "UPDATE \"" + table + "\" SET \"" + column + "\" = ? WHERE \"" + key + "\" = (SELECT \"" +
                        key + "\" FROM \"" + table + "\"" + row + ")");
    if (old && change && sqlite3_step(old.get()) == SQLITE_ROW) {
        bind_changed(change.get(), old.get(), random);
        sqlite3_reset(old.get());
        sqlite3_step(change.get());
    }
    for (const std::string& maker : makers)
        sqlite3_exec(db, maker.c_str(), nullptr, nullptr, nullptr);
}

/// The size of the file with one value changed; 0 where that does not go.
std::size_t with_changed_value(std::uint8_t* data, std::size_t size, std::size_t most, std::mt19937& random) {
    sqlite3* opened = nullptr;
    if (sqlite3_open(":memory:", &opened) != SQLITE_OK) return 0;
    const Database db(opened, sqlite3_close);
    auto* copy = static_cast<unsigned char*>(sqlite3_malloc64(size));
    if (copy == nullptr) return 0;
    std::memcpy(copy, data, size);
    const auto length = static_cast<sqlite3_int64>(size);
    if (sqlite3_deserialize(db.get(), "main", copy, length, length,
                            SQLITE_DESERIALIZE_FREEONCLOSE | SQLITE_DESERIALIZE_RESIZEABLE) != SQLITE_OK)
        return 0;
    sqlite3_exec(db.get(), "PRAGMA ignore_check_constraints = ON", nullptr, nullptr, nullptr);
    change_value(db.get(), random);
    sqlite3_int64 now = 0;
    const std::unique_ptr<unsigned char, void (*)(void*)> bytes(sqlite3_serialize(db.get(), "main", &now, 0),
                                                                sqlite3_free);
    if (!bytes || now <= 0 || static_cast<std::size_t>(now) > most) return 0;
    std::memcpy(data, bytes.get(), static_cast<std::size_t>(now));
    return static_cast<std::size_t>(now);
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most,
                                               unsigned seed) {
    std::mt19937 random(seed);
    if (size > kHeader && random() % 3 != 0) {
        if (const std::size_t changed = with_changed_value(data, size, most, random); changed > 0)
            return changed;
    }
    const std::string header(reinterpret_cast<const char*>(data), std::min(size, kHeader));
    const std::size_t changed = LLVMFuzzerMutate(data, size, most);
    // Without its header a file is refused at once.
    if (random() % 8 != 0) std::memcpy(data, header.data(), std::min(header.size(), changed));
    return changed;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static test::LossyDisk disk;
    disk.put(kPath, std::string(reinterpret_cast<const char*>(data), size));
    store::OpenOptions options;
    options.read_only = true;
    options.file_layer = disk.name();
    const auto file = store::MeetFile::open(kPath, options);
    if (file)
        read_all(*file);
    else
        expect_told(file.error());
    const auto report = store::verify_chain(kPath, disk.name());
    if (!report)
        expect_told(report.error());
    else
        PLUMBMARK_CHECK(!report->sentence.empty() && (report->whole || report->first_bad_row > 0));
    return 0;
}
