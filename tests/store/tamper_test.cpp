// Whatever is changed in a meet file behind the program's back is found and named.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <random>

#include "meet/random_changes.h"
#include "store/meet_file.h"
#include "store/past_triggers.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using store::MeetFile;
using test::bytes_of;

void write_bytes(const std::filesystem::path& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary) << bytes;
}

// A meet with something in every table, in 'rows' journal rows.
void make_meet(const std::filesystem::path& path, int rows) {
    base::Result<MeetFile> file = MeetFile::create(path, {"Pier Nine Youth Open", "warehouse", "2026-05-02"});
    REQUIRE(file.ok());
    test::RandomChanges random(77);
    meet::State state = file->loaded();
    for (int i = 1; i < rows; ++i) {
        const meet::Change change = random.next(state);
        REQUIRE(state.apply(change).ok());
        file->submit(change);
    }
    REQUIRE(file->flush().ok());
}

// Runs SQL as somebody would who knows the format: past the triggers and all other checks.
void tamper(const std::filesystem::path& path, const std::string& sql) {
    SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
    db.exec("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON");
    test::past_triggers(db, [&] { db.exec(sql); });
}

struct Found {
    bool whole = false;
    std::int64_t row = 0;
    std::string sentence;
};

Found verify(const std::filesystem::path& path) {
    const base::Result<store::ChainReport> report = store::verify_chain(path);
    if (!report) return {false, -1, report.error().text()};
    return {report->whole, report->first_bad_row, report->sentence};
}

// All rows of all tables, as text.
std::string contents(const std::filesystem::path& path) {
    std::string all;
    try {
        SQLite::Database db(path.string());
        SQLite::Statement tables(db, "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name");
        while (tables.executeStep()) {
            SQLite::Statement rows(db, "SELECT * FROM " + tables.getColumn(0).getString());
            while (rows.executeStep()) {
                for (int i = 0; i < rows.getColumnCount(); ++i)
                    all += rows.getColumn(i).getString() + "|";
                all += "\n";
            }
        }
    } catch (const SQLite::Exception& problem) {
        all += problem.what();
    }
    return all;
}

TEST_CASE("a bit turned over anywhere in the file is found, unless it changes nothing that the file says") {
    const test::TemporaryFolder folder(std::filesystem::exists("/dev/shm") ? "/dev/shm" : "/tmp");
    const auto path = folder / "a.meet";
    make_meet(path, 60);
    const std::string good = bytes_of(path);
    const std::string said = contents(path);
    REQUIRE(verify(path).whole);
    const std::uint64_t seed = 12;
    CAPTURE(seed);
    std::mt19937_64 random(seed);
    int found = 0;
    int idle = 0;
    for (int round = 0; round < 900; ++round) {
        const std::size_t at = random() % good.size();
        const auto bit = static_cast<char>(1 << (random() % 8));
        if (good[at] == 0 && random() % 4 != 0) continue;  // most of the zeros are unused room
        std::string bad = good;
        bad[at] = static_cast<char>(bad[at] ^ bit);
        write_bytes(path, bad);
        const Found outcome = verify(path);
        if (!outcome.whole) {
            ++found;
            CHECK_FALSE(outcome.sentence.empty());
            continue;
        }
        ++idle;
        INFO("byte " << at << ", bit " << static_cast<int>(bit));
        REQUIRE(contents(path) == said);
    }
    CHECK(found > 300);
    CHECK(idle < found);
}

TEST_CASE("each way of changing the journal is found at its row") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    make_meet(path, 20);
    const std::string good = bytes_of(path);
    const auto after = [&](const std::string& sql) {
        write_bytes(path, good);
        tamper(path, sql);
        return verify(path);
    };
    for (const int row : {1, 7, 20}) {
        const std::string here = " WHERE number = " + std::to_string(row);
        INFO("row " << row);
        const Found label =
            after("UPDATE journal SET json = replace(json, '\"label\":\"', '\"label\":\"x')" + here);
        CHECK(label.row == row);
        CHECK(label.sentence ==
              "journal row " + std::to_string(row) + " was changed: it is not what its hash says");
        CHECK(after("UPDATE journal SET sha256 = replace(sha256, substr(sha256, 1, 1), 'x')" + here).row ==
              row);
        CHECK(after("UPDATE journal SET previous = replace(previous, substr(previous, 1, 1), 'x')" + here)
                  .row == row);
    }
    CHECK(after("DELETE FROM journal WHERE number = 7").sentence == "journal row 7 is missing");
    CHECK(after("DELETE FROM journal WHERE number = 1").row == 1);
    CHECK(after("DELETE FROM journal").sentence.find("is empty") != std::string::npos);
    const Found last =
        after("DELETE FROM journal WHERE number = 20");  // the tables are one change ahead then
    CHECK_FALSE(last.whole);
    CHECK_FALSE(after("UPDATE file SET meet = replace(meet, substr(meet, 1, 1), 'x')").whole);
    CHECK(after("UPDATE journal SET number = 21 WHERE number = 20").row == 20);
    CHECK(verify(path).sentence == "journal row 20 is missing");
    write_bytes(path, good);
    CHECK(verify(path).whole);
}

TEST_CASE("a row changed together with its own hash is given away by the row after it") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    make_meet(path, 20);
    std::string json;
    {
        SQLite::Database db(path.string());
        json = db.execAndGet("SELECT json FROM journal WHERE number = 7").getString();
    }
    // The row's own label, which stands behind its edits; a run's is kept apart and stands there as a hash.
    const auto label = json.rfind("\"label\":\"") + 9;
    json.insert(label, "x");
    const std::string hash = store::sha256_hex(json);
    for (std::size_t quote = json.find('\''); quote != std::string::npos; quote = json.find('\'', quote + 2))
        json.insert(quote, "'");
    tamper(path, "UPDATE journal SET json = '" + json + "', sha256 = '" + hash + "' WHERE number = 7");
    const Found found = verify(path);
    CHECK(found.row == 8);
    CHECK(found.sentence == "journal row 8 does not follow the row before it");
}

TEST_CASE("every column of every table is held against the journal") {
    const test::TemporaryFolder folder(std::filesystem::exists("/dev/shm") ? "/dev/shm" : "/tmp");
    const auto path = folder / "a.meet";
    make_meet(path, 220);
    const std::string good = bytes_of(path);
    struct Column {
        std::string table, name, type;
    };
    std::vector<Column> columns;
    {
        SQLite::Database db(path.string());
        SQLite::Statement query(
            db,
            "SELECT t.name, c.name, c.type FROM sqlite_schema t, pragma_table_info(t.name) c "
            "WHERE t.type = 'table' AND t.name <> 'journal'");
        while (query.executeStep())
            columns.push_back({query.getColumn(0).getString(), query.getColumn(1).getString(),
                               query.getColumn(2).getString()});
        for (const Column& column : columns) {
            CAPTURE(column.table);
            REQUIRE(db.execAndGet("SELECT count(*) FROM " + column.table).getInt() > 0);
        }
    }
    REQUIRE(columns.size() > 80);
    for (const Column& column : columns) {
        INFO(column.table << "." << column.name);
        write_bytes(path, good);
        const std::string& name = column.name;
        const std::string other = column.type == "TEXT"   ? "coalesce(" + name + ", '') || 'x'"
                                  : column.type == "BLOB" ? "zeroblob(32)"
                                                          : "coalesce(" + name + ", 0) + 1";
        const std::string newest = "(SELECT max(" + name + ") FROM " + column.table + ")";
        tamper(path, "UPDATE " + column.table + " SET " + name + " = " + other + " WHERE " + name + " IS " +
                         newest);
        REQUIRE(bytes_of(path) != good);
        const Found found = verify(path);
        INFO(found.sentence);
        CHECK_FALSE(found.whole);
        CHECK_FALSE(found.sentence.empty());
    }
    for (const char* table : {"mark", "mark_event", "athlete", "apart", "floor_call", "watched_part"}) {
        INFO(table);
        write_bytes(path, good);
        tamper(path, std::string("DELETE FROM ") + table);
        CHECK_FALSE(verify(path).whole);
    }
    write_bytes(path, good);
    tamper(path, "UPDATE athlete SET number = '999' WHERE id = (SELECT max(id) FROM athlete)");
    CHECK(verify(path).sentence.find("the tables hold another athlete ") == 0);
    write_bytes(path, good);
    tamper(path, "UPDATE apart SET value = value || '!' WHERE value IS NOT NULL");
    CHECK(verify(path).sentence.find("names was changed: ") != std::string::npos);
    write_bytes(path, good);
    tamper(path, "INSERT INTO athlete VALUES (9999, '1', NULL, NULL, '')");
    CHECK_FALSE(verify(path).whole);
}

}  // namespace
}  // namespace plumbmark
