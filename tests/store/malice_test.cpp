// Files and values made to do harm: a clear error or plain text, never a crash, and nothing lost.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>

#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using base::Category;
using store::MeetFile;

const meet::MeetInfo kInfo{"Pier Nine Youth Open", "harbour hall", "2026-05-02"};

meet::Athlete named(std::int64_t id, const std::string& name) {
    return {{id}, std::to_string(id), name, "", "u14"};
}

/// A meet file with two athletes and an entry of each, closed.
struct Trial {
    test::TemporaryFolder folder;
    std::filesystem::path path = folder / "a.meet";

    Trial() {
        auto file = MeetFile::create(path, kInfo);
        REQUIRE(file.ok());
        meet::Change change{"start list", {}, 0};
        change.edits.push_back({{}, meet::Round{{1}, "Final", meet::RoundKind::final, 1}});
        for (std::int64_t id : {1, 2}) {
            change.edits.push_back({{}, named(id, "Ann")});
            change.edits.push_back(
                {{}, meet::Entry{{id}, {id}, {1}, 1, 1, "", meet::EntryStatus::entered, ""}});
        }
        file->submit(change);
        REQUIRE(file->flush().ok());
    }
    /// Runs SQL on the file as somebody who means harm does.
    void harm(const std::string& sql) const {
        SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
        db.exec("PRAGMA ignore_check_constraints = ON");
        db.exec(sql);
    }
    /// Both ways of opening it, and verifying, refuse it alike; gives the error.
    [[nodiscard]] base::Error refused() const {
        const std::string before = test::bytes_of(path);
        store::OpenOptions reading;
        reading.read_only = true;
        const auto reader = MeetFile::open(path, reading);
        REQUIRE_FALSE(reader.ok());
        const auto writer = MeetFile::open(path);
        REQUIRE_FALSE(writer.ok());
        CHECK(writer.error() == reader.error());
        const auto report = store::verify_chain(path);
        CHECK((!report || !report->whole));
        CHECK(test::bytes_of(path) == before);
        INFO(reader.error().text());
        CHECK(reader.error().category == Category::damaged);
        CHECK(reader.error().where == path.string());
        return reader.error();
    }
};

bool has(const base::Error& error, const std::string& words) {
    INFO(error.text());
    return error.text().find(words) != std::string::npos;
}

TEST_CASE("SQL, markup and control characters in a name are a name") {
    const std::vector<std::string> names{"Robert'); DROP TABLE journal;--",
                                         "\"; DELETE FROM apart; --",
                                         "<script>alert(1)</script>",
                                         "%s%n%n",
                                         "../../etc/passwd",
                                         "a\x01\x02\x1b[31m",
                                         "\xE2\x80\xAE"
                                         "txt.exe"};
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    {
        auto file = MeetFile::create(path, kInfo);
        REQUIRE(file.ok());
        for (std::size_t i = 0; i < names.size(); ++i)
            file->submit({names[i], {{{}, named(static_cast<std::int64_t>(i) + 1, names[i])}}, 0});
        REQUIRE(file->flush().ok());
    }
    const auto file = MeetFile::open(path);
    REQUIRE(file.ok());
    for (std::size_t i = 0; i < names.size(); ++i)
        CHECK(file->loaded().athletes().at({static_cast<std::int64_t>(i) + 1}).name == names[i]);
    CHECK(store::verify_chain(path)->whole);
}

TEST_CASE("a text of 100 MB is refused before it is written, and the meet goes on without it") {
    const Trial trial;
    auto file = MeetFile::open(trial.path);
    REQUIRE(file.ok());
    const auto size = std::filesystem::file_size(trial.path);
    file->submit({"huge", {{{}, named(3, std::string(100'000'000, 'x'))}}, 0});
    const auto written = file->flush();
    REQUIRE_FALSE(written.ok());
    CHECK(has(written.error(), "its name has 100000000 bytes, and no more than 1048576 are kept"));
    CHECK(std::filesystem::file_size(trial.path) == size);
    file = MeetFile::open(trial.folder / "none.meet");
    auto again = MeetFile::open(trial.path);
    REQUIRE(again.ok());
    again->submit({"one more", {{{}, named(3, std::string(meet::kLongestText, 'x'))}}, 0});
    CHECK(again->flush().ok());
}

TEST_CASE("texts of 100 MB that stand in the file are refused, wherever they stand") {
    for (const char* sql :
         {"UPDATE athlete SET number = replace(hex(zeroblob(50000000)), '0', 'x') WHERE id = 1",
          "UPDATE meet SET name = replace(hex(zeroblob(50000000)), '0', 'x')",
          "UPDATE thing SET json = '\"' || replace(hex(zeroblob(50000000)), '0', 'x') || '\"' WHERE kind = "
          "'entry'",
          "UPDATE thing SET json = replace(hex(zeroblob(50000000)), '0', '[') WHERE kind = 'entry'"}) {
        const Trial trial;
        CAPTURE(sql);
        trial.harm(sql);
        (void)trial.refused();
    }
}

TEST_CASE("JSON that is nested too deep, or no JSON, or of another form is refused at its row") {
    const std::string deep = std::string(100'000, '[') + std::string(100'000, ']');
    for (const std::string& json :
         {deep, std::string("{\"athlete\":"), std::string("null"), std::string("[]"), std::string(""),
          std::string("{\"athlete\":1,\"athlete\":1}"), std::string("{\"athlete\":1e999}"),
          std::string(
              "{\"athlete\":1,\"round\":1,\"heat\":1,\"start\":1,\"lane\":\"\",\"status\":\"entered\","
              "\"reason\":\"Ann\"}"),
          std::string(
              "{\"athlete\":99,\"round\":1,\"heat\":1,\"start\":1,\"lane\":\"\",\"status\":\"entered\","
              "\"reason\":null}"),
          std::string(
              "{\"athlete\":-1,\"round\":1,\"heat\":1,\"start\":1,\"lane\":\"\",\"status\":\"entered\","
              "\"reason\":null}")}) {
        const Trial trial;
        CAPTURE(json.substr(0, 80));
        {
            SQLite::Database db(trial.path.string(), SQLite::OPEN_READWRITE);
            SQLite::Statement change(db, "UPDATE thing SET json = ? WHERE kind = 'entry' AND id = 1");
            change.bind(1, json);
            CHECK(change.exec() == 1);
        }
        const base::Error error = trial.refused();
        CHECK((has(error, "entry 1") || has(error, "table thing")));
    }
}

TEST_CASE("U+0000 and bytes that are no UTF-8 in the file are refused") {
    for (const char* sql :
         {"UPDATE athlete SET number = 'a' || char(0) || 'b' WHERE id = 1",
          "UPDATE athlete SET number = CAST(x'ff41' AS TEXT) WHERE id = 1",
          "UPDATE meet SET venue = CAST(x'00' AS TEXT)",
          "UPDATE thing SET kind = CAST(x'656e74727900' AS TEXT) WHERE kind = 'entry' AND id = 1"}) {
        const Trial trial;
        CAPTURE(sql);
        trial.harm(sql);
        (void)trial.refused();
    }
}

TEST_CASE("a schema with anything foreign in it is never run") {
    for (const char* sql :
         {"CREATE TRIGGER t AFTER INSERT ON athlete BEGIN DELETE FROM mark; END",
          "CREATE TEMP TABLE x (a); CREATE VIEW v AS SELECT randomblob(1000000000) AS b",
          "DROP TABLE drawing_point; CREATE VIEW drawing_point AS SELECT 1 AS drawing, 0 AS position, 0 AS "
          "x, 0 AS y",
          "CREATE TABLE more (a)", "CREATE INDEX i ON mark (run)", "DROP TRIGGER journal_is_never_changed",
          "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = sql || ' ' WHERE name = 'athlete'"}) {
        const Trial trial;
        CAPTURE(sql);
        trial.harm(sql);
        const base::Error error = trial.refused();
        CHECK((has(error, "does not belong in a meet file") || has(error, "is not as this format has it") ||
               has(error, "is missing")));
    }
}

TEST_CASE("numbers beyond all that a meet can hold are refused") {
    for (const char* sql :
         {"UPDATE last_used SET id = 9223372036854775807 WHERE kind = 'athlete'",
          "UPDATE thing SET id = 9223372036854775807 WHERE kind = 'round'",
          "UPDATE athlete SET id = -5 WHERE id = 1", "INSERT INTO thing VALUES ('rules', 7, '{}')",
          "INSERT INTO thing VALUES ('athlete', 7, '{}')", "INSERT INTO last_used VALUES ('ghost', 7)"}) {
        const Trial trial;
        CAPTURE(sql);
        trial.harm(sql);
        (void)trial.refused();
    }
}

}  // namespace
}  // namespace plumbmark
