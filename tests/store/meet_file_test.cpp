// A meet file as its owner sees it: what goes in comes out again, also after closing, and errors say what to
// do.
#include "store/meet_file.h"

#include <SQLiteCpp/SQLiteCpp.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <fstream>
#include <map>

#include "meet/random_changes.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark {
namespace {

using base::Category;
using store::MeetFile;
using store::OpenOptions;
using test::bytes_of;

const meet::MeetInfo kInfo{"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"};

OpenOptions reading() {
    OpenOptions options;
    options.read_only = true;
    return options;
}

void write_bytes(const std::filesystem::path& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary) << bytes;
}

TEST_CASE("random changes come back after closing, by value and as changes, and the chain verifies") {
    const std::uint64_t seed = 20260502;
    CAPTURE(seed);
    const test::TemporaryFolder folder;
    const auto path = folder / "pier-nine.meet";
    test::RandomChanges random(seed);
    meet::State state;
    std::vector<meet::Change> made;
    REQUIRE(MeetFile::create(path, kInfo).ok());
    for (int opening = 0; opening < 4; ++opening) {
        base::Result<MeetFile> file = MeetFile::open(path);
        REQUIRE(file.ok());
        if (opening == 0) state = file->loaded();
        REQUIRE(file->loaded() == state);
        for (int i = 0; i < 40; ++i) {
            made.push_back(random.next(state));
            if (i % 7 == 6) made.back().undoes = i;
            REQUIRE(state.apply(made.back()).ok());
            CHECK(file->submit(made.back()) == i + 1);
        }
        REQUIRE(file->flush().ok());
        CHECK(file->committed() == 40);
        CHECK(file->row_of(40) == 1 + 40 * (opening + 1));
        const auto changes = file->changes(2, 1000);
        REQUIRE(changes.ok());
        CHECK(*changes == made);
    }
    const auto report = store::verify_chain(path);
    REQUIRE(report.ok());
    INFO(report->sentence);
    CHECK(report->whole);
    CHECK(report->rows == 161);
    CHECK(report->first_bad_row == 0);
}

TEST_CASE("a new file holds the meet's info in its first journal row, chained to the file's own beginning") {
    const test::TemporaryFolder folder;
    OpenOptions fixed;
    fixed.clock = [] { return std::int64_t{1'777'714'200'000'999'999}; };  // 2026-05-02 09:30 UTC and a bit
    fixed.random = [](unsigned char* bytes, std::size_t count) { std::fill_n(bytes, count, 0x5A); };
    base::Result<MeetFile> file = MeetFile::create(folder / "a.meet", kInfo, fixed);
    REQUIRE(file.ok());
    CHECK(file->loaded().info() == kInfo);
    const auto rows = file->journal(1, 10);
    REQUIRE(rows.ok());
    REQUIRE(rows->size() == 1);
    const store::JournalRow& row = rows->front();
    const std::string genesis =
        store::sha256_hex(R"({"format":"plumbmark-journal/1","meet":"5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a5a"})");
    CHECK(
        row.canonical_json ==
        R"({"edits":[{"after":{"date":"2026-05-02","name":"Pier Nine Youth Open","venue":"harbour warehouse"},)"
        R"("before":{"date":"","name":"","venue":""},"id":0,"kind":"meet"}],"format":"plumbmark-journal/1",)"
        R"("label":"start of the meet","number":1,"previous":")" +
            genesis + R"(","removed":[],"time":"2026-05-02T09:30:00.000Z","undoes":0})");
    CHECK(row.sha256 == store::sha256_hex(row.canonical_json));
    CHECK(row.written_at == "2026-05-02T09:30:00.000Z");
    CHECK(row.label == "start of the meet");
}

TEST_CASE("personal values stand in the journal only as salted hashes") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    base::Result<MeetFile> file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    meet::Clip clip;
    clip.id = {1};
    clip.name = "Zephyrine-left";
    clip.relative_path = "clips/Zephyrine.mp4";
    clip.last_known_path = "/media/Zephyrine.mp4";
    meet::Run run;
    run.id = {1};
    run.athlete = {1};
    run.label = "Zephyrine again";
    run.question = "did Zephyrine touch the deck?";
    run.clips = {meet::ClipId{1}};
    meet::Mark mark{{1}, {1}, {meet::Event{}}, false, {{meet::ClipId{1}, {}, {}}}, "Zephyrine's shoe", {}};
    mark.alternatives[0].part = course::Part::left_foot;
    mark.alternatives[0].surface = "deck";
    const meet::Athlete athlete{{1}, "17", "Zephyrine Q.", "Zephyrine's club", "U12"};
    const meet::Athlete namesake{{2}, "18", "Zephyrine Q.", "Zephyrine's club", "U12"};
    const meet::FloorCall call{{1}, {1}, "net", meet::Call::fail, "judge Zephyrine", false};
    const meet::BookRevision book{{1}, "Zephyrine.course", "[course]"};
    file->submit({"much",
                  {{{}, clip}, {{}, athlete}, {{}, namesake}, {{}, run}, {{}, mark}, {{}, call}, {{}, book}},
                  0});
    REQUIRE(file->flush().ok());
    const auto rows = file->journal(1, 100);
    REQUIRE(rows.ok());
    REQUIRE(rows->size() == 2);
    CHECK(rows->at(1).canonical_json.find("Zephyrine") == std::string::npos);
    SQLite::Database db(path.string());
    CHECK(db.execAndGet("SELECT count(*) FROM apart WHERE value LIKE '%Zephyrine%'").getInt() == 12);
    CHECK(db.execAndGet("SELECT count(DISTINCT name) FROM athlete").getInt() ==
          2);  // equal names, other salts
    CHECK(db.execAndGet("SELECT count(*) FROM athlete WHERE name LIKE '%Zeph%'").getInt() == 0);
    CHECK(MeetFile::open(path, reading())->loaded().marks().at(meet::MarkId{1}) == mark);
}

TEST_CASE("a person's data can be erased, and the journal still verifies") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    base::Result<MeetFile> file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    const meet::Athlete first{{1}, "17", "Zephyrine", "Harbour Club", "U12"};
    meet::Athlete corrected = first;
    corrected.name = "Zephyrine Quill";
    const meet::Athlete other{{2}, "18", "Ondine", "Harbour Club", "U12"};
    file->submit({"athletes", {{{}, first}, {{}, other}}, 0});
    file->submit({"spelling", {{first, corrected}}, 0});
    meet::Athlete nameless = corrected;
    nameless.name.clear();
    nameless.club.clear();
    file->submit_erasing({"athlete 17 removed on request", {{corrected, nameless}}, 0});
    REQUIRE(file->flush().ok());
    const auto report = store::verify_chain(path);
    REQUIRE(report.ok());
    INFO(report->sentence);
    CHECK(report->whole);
    CHECK(report->sentence.find("3 personal values were erased") != std::string::npos);
    CHECK(bytes_of(path).find("Zephyrine") == std::string::npos);
    CHECK(bytes_of(path).find("Ondine") != std::string::npos);
    const auto changes = file->changes(3, 1);
    REQUIRE(changes.ok());
    CHECK(std::get<meet::Athlete>(*changes->front().edits[0].after).name.empty());

    // After an erasure undo goes on from what is left.
    meet::Athlete renamed = nameless;
    renamed.name = "Z.";
    file->submit({"name again", {{nameless, renamed}}, 0});
    REQUIRE(file->flush().ok());
    file = MeetFile::open(folder / "none.meet");
    CHECK(MeetFile::open(path)->loaded().athletes().at(meet::AthleteId{1}) == renamed);
    CHECK(store::verify_chain(path)->whole);

    SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
    db.exec("UPDATE apart SET salt = NULL, value = NULL WHERE value = 'Ondine'");
    const auto silent = store::verify_chain(path);
    REQUIRE(silent.ok());
    CHECK_FALSE(silent->whole);
    CHECK(silent->first_bad_row == 2);
    CHECK(silent->sentence.find("was erased, and no row says so") != std::string::npos);
}

const meet::Athlete kErased{{1}, "17", "Zephyrine", "Harbour Club", "U12"};

// A meet of one athlete, who was erased last.
void make_meet_with_erased(const std::filesystem::path& path) {
    base::Result<MeetFile> file = MeetFile::create(path, kInfo);
    REQUIRE(file.ok());
    meet::Athlete nameless = kErased;
    nameless.name.clear();
    file->submit({"athlete", {{{}, kErased}}, 0});
    file->submit_erasing({"athlete 17 removed on request", {{kErased, nameless}}, 0});
    REQUIRE(file->flush().ok());
}

// The state between two steps of SQLite: the shorter file is confirmed, and its old end not cut off yet.
// Found by crash-rounds, which killed a program there.
TEST_CASE("a file whose erased end was not cut off yet opens, is told, and is cut off by the next writer") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    make_meet_with_erased(path);
    const std::string whole = bytes_of(path);
    const std::string page(
        static_cast<std::size_t>(SQLite::Database(path.string()).execAndGet("PRAGMA page_size").getInt()),
        'Z');
    write_bytes(path, whole + page + page);
    const auto looked_at = MeetFile::open(path, reading());
    REQUIRE(looked_at.ok());
    CHECK(looked_at->loaded().athletes().size() == 1);
    CHECK(bytes_of(path) == whole + page + page);
    const auto told = store::verify_chain(path);
    REQUIRE(told.ok());
    CHECK_FALSE(told->whole);
    CHECK(told->sentence.find("goes on for " + std::to_string(2 * page.size()) + " bytes") !=
          std::string::npos);
    CHECK(MeetFile::open(path)->loaded().athletes().at(meet::AthleteId{1}).club == "Harbour Club");
    CHECK(std::filesystem::file_size(path) == whole.size());
    CHECK(bytes_of(path).find("ZZZZ") == std::string::npos);
    CHECK(store::verify_chain(path)->whole);

    write_bytes(path, whole + page.substr(1));
    const auto odd = MeetFile::open(path);
    REQUIRE_FALSE(odd.ok());
    CHECK(odd.error().category == Category::damaged);
}

TEST_CASE("a writer that was stopped before it cleared what was erased is followed by one that does") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    make_meet_with_erased(path);
    {  // what pages that were divided may still hold, in a page that is free
        SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
        db.exec("PRAGMA secure_delete = OFF");
        db.exec("CREATE TABLE slack (value TEXT)");
        db.exec("INSERT INTO slack VALUES ('Zephyrine was here')");
        db.exec("DROP TABLE slack");
    }
    REQUIRE(bytes_of(path).find("Zephyrine") != std::string::npos);
    REQUIRE(MeetFile::open(path).ok());
    CHECK(bytes_of(path).find("Zephyrine") == std::string::npos);
    CHECK(store::verify_chain(path)->whole);
}

TEST_CASE("ids are not given again after closing and opening") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    const meet::Athlete athlete{{5}, "1", "", "", ""};
    {
        base::Result<MeetFile> file = MeetFile::create(path, kInfo);
        REQUIRE(file.ok());
        file->submit({"add", {{{}, athlete}}, 0});
        file->submit({"remove", {{athlete, {}}}, 0});
    }
    CHECK(MeetFile::open(path)->loaded().next_id(meet::Kind::athlete) == 6);
}

TEST_CASE("a change that does not fit what is stored stops the writing and says why") {
    const test::TemporaryFolder folder;
    base::Result<MeetFile> file = MeetFile::create(folder / "a.meet", kInfo);
    REQUIRE(file.ok());
    file->submit({"add run", {{{}, meet::Run{{1}, {3}, {}, "", {}, ""}}}, 0});
    const auto flushed = file->flush();
    REQUIRE_FALSE(flushed.ok());
    CHECK(flushed.error().text() ==
          "run 1: the change 'add run' does not fit what is stored: "
          "it names athlete 3, which does not exist");
    CHECK(file->failure() == flushed.error());
    CHECK(file->committed() == 0);
}

TEST_CASE("the wake function is called for every commit") {
    const test::TemporaryFolder folder;
    std::atomic<int> woken = 0;
    OpenOptions options;
    options.wake = [&] { ++woken; };
    base::Result<MeetFile> file = MeetFile::create(folder / "a.meet", kInfo, options);
    REQUIRE(file.ok());
    for (std::int64_t i = 1; i <= 5; ++i)
        file->submit({"add", {{{}, meet::Athlete{{i}, "", "", "", ""}}}, 0});
    file = MeetFile::open(folder / "none.meet");  // lets the first go, which writes what is queued
    CHECK(woken == 5);
    CHECK(MeetFile::open(folder / "a.meet")->loaded().athletes().size() == 5);
}

TEST_CASE("two programs cannot write to one file, and a reader may look on") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    base::Result<MeetFile> writer = MeetFile::create(path, kInfo);
    REQUIRE(writer.ok());
    const base::Result<MeetFile> second = MeetFile::open(path);
    REQUIRE_FALSE(second.ok());
    CHECK(second.error().category == Category::busy);
    CHECK(second.error().sentence ==
          "another program has this meet file open for writing; close it there, or open it here for reading "
          "only");
    base::Result<MeetFile> reader = MeetFile::open(path, reading());
    REQUIRE(reader.ok());
    writer->submit({"add", {{{}, meet::Athlete{{1}, "", "", "", ""}}}, 0});
    REQUIRE(writer->flush().ok());
    CHECK(reader->loaded().athletes().empty());
    reader->submit({"add", {{{}, meet::Athlete{{2}, "", "", "", ""}}}, 0});
    REQUIRE(reader->failure());
    CHECK(reader->failure()->sentence ==
          "the meet file was opened for reading only; nothing is written to it");
    CHECK_FALSE(reader->flush().ok());
    writer = MeetFile::open(folder / "none.meet");
    CHECK(MeetFile::open(path).ok());
    CHECK_FALSE(std::filesystem::exists(folder / "a.meet-lock"));
}

TEST_CASE("opening for reading changes nothing and creates nothing, and so does verifying") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    { REQUIRE(MeetFile::create(path, kInfo).ok()); }
    const std::string before = bytes_of(path);
    const auto written = std::filesystem::last_write_time(path);
    {
        base::Result<MeetFile> file = MeetFile::open(path, reading());
        REQUIRE(file.ok());
        CHECK(file->journal(1, 10)->size() == 1);
        CHECK(store::verify_chain(path)->whole);
        CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
    }
    CHECK(bytes_of(path) == before);
    CHECK(std::filesystem::last_write_time(path) == written);
    CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
    CHECK(MeetFile::open(folder / "none.meet", reading()).error().category == Category::not_found);
    CHECK_FALSE(std::filesystem::exists(folder / "none.meet"));
}

TEST_CASE("each file that cannot be opened is refused with its own reason") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    { REQUIRE(MeetFile::create(path, kInfo).ok()); }
    const std::string good = bytes_of(path);
    const auto refused = [&](const OpenOptions& options) {
        const base::Result<MeetFile> file = MeetFile::open(path, options);
        REQUIRE_FALSE(file.ok());
        CHECK(file.error().where == path.string());
        return std::pair(file.error().category, file.error().sentence);
    };
    const auto both = [&](Category category, const std::string& part) {
        for (const OpenOptions& options : {OpenOptions{}, reading()}) {
            const auto [found, sentence] = refused(options);
            INFO(sentence);
            CHECK(found == category);
            CHECK(sentence.english().find(part) != std::string::npos);
        }
    };
    write_bytes(path, "");
    both(Category::damaged, "the file is empty");
    write_bytes(path, "this is a letter, not a meet");
    both(Category::damaged, "not a meet file");
    write_bytes(path, std::string(100'000, '\0'));
    both(Category::damaged, "not a meet file");
    for (const std::size_t size : {50U, 100U, 4096U, 8192U}) {
        INFO(size);
        write_bytes(path, good.substr(0, size));
        both(Category::damaged, "cut off");
    }
    write_bytes(path, good + std::string(4096, '\0'));
    both(Category::damaged, "go back to a copy");
    std::filesystem::remove(path);
    {
        SQLite::Database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE)
            .exec("CREATE TABLE a (b)");
    }
    both(Category::damaged, "a database, but not a meet file");

    const auto altered = [&](const std::string& sql) {
        write_bytes(path, good);
        SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec(sql);
    };
    altered("PRAGMA user_version = 11");
    both(Category::unsupported,
         "made by a newer version of the program (its format is 11, this version knows 10)");
    altered("CREATE TRIGGER spy AFTER INSERT ON mark BEGIN DELETE FROM run; END");
    both(Category::damaged, "its trigger spy does not belong in a meet file");
    altered("DROP TRIGGER journal_is_never_changed");
    both(Category::damaged, "its trigger journal_is_never_changed is missing");
    altered("PRAGMA journal_mode = WAL");
    both(Category::damaged, "another program has changed how the file is written");
    write_bytes(path, good);
    CHECK(MeetFile::create(path, kInfo).error().category == Category::io);
    CHECK(bytes_of(path) == good);
}

TEST_CASE("a file of version 1 is read as it is, and brought to this version when it is opened for writing") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    { REQUIRE(MeetFile::create(path, kInfo).ok()); }
    meet::Clip old;
    old.id = {1};
    old.name = "camera A";
    old.capture = {{{0, 0}, meet::Pace::unknown, {}}};
    {
        base::Result<MeetFile> file = MeetFile::open(path);
        REQUIRE(file.ok());
        file->submit({"add clip", {{std::nullopt, old}}, 0});
        REQUIRE(file->flush().ok());
    }
    {
        // What version 1 had: a clip that is unknown throughout was one column, and the tables were not
        // there.
        SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
        for (const char* table :
             {"clip_stream",  "clip_content",    "clip_capture", "clip_slowed",   "clip_looked_through",
              "clip_picture", "clip_repeated",   "run_course",   "book_path",     "athlete_person",
              "run_entry",    "floor_call_more", "thing",        "drawing_still", "mark_pointed",
              "lens",         "stand",           "stand_point",  "stand_edge",    "stand_edge_point"})
            db.exec(std::string("DROP TABLE ") + table);
        // The kinds of event were fewer, and nothing was measured: as a file of that version has the tables.
        const std::string released = (test::source_folder() / "tests/store/old-files/format-1.meet").string();
        SQLite::Database first(released, SQLite::OPEN_READONLY);
        for (const std::string table : {"mark_event", "mark"}) {
            const std::string sql =
                first.execAndGet("SELECT sql FROM sqlite_schema WHERE name = '" + table + "'").getString();
            db.exec("DROP TABLE " + table);
            db.exec(sql);
        }
        db.exec("PRAGMA user_version = 1");
    }
    const std::string before = bytes_of(path);
    {
        base::Result<MeetFile> file = MeetFile::open(path, reading());
        REQUIRE(file.ok());
        CHECK(file->loaded().clips().at({1}) == old);
        CHECK(store::verify_chain(path)->whole);
    }
    CHECK(bytes_of(path) == before);
    meet::Clip changed = old;
    changed.slowed = meet::Rates{{240, 1}, {30, 1}};
    changed.repeated = {{{3, 30}, 5, false}};
    {
        base::Result<MeetFile> file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().clips().at({1}) == old);
        file->submit({"facts", {{old, changed}}, 0});
        REQUIRE(file->flush().ok());
    }
    base::Result<MeetFile> file = MeetFile::open(path, reading());
    REQUIRE(file.ok());
    CHECK(file->loaded().clips().at({1}) == changed);
    CHECK(store::verify_chain(path)->whole);
    CHECK(SQLite::Database(path.string()).execAndGet("PRAGMA user_version").getInt() == 10);
}

TEST_CASE("the journal's rows can be neither changed nor removed through the database") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    { REQUIRE(MeetFile::create(path, kInfo).ok()); }
    SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
    for (const char* sql : {"UPDATE journal SET json = ''", "DELETE FROM journal",
                            "INSERT OR REPLACE INTO journal SELECT * FROM journal",
                            "INSERT INTO journal SELECT 7, previous, json, sha256 FROM journal",
                            "DELETE FROM apart WHERE 1; UPDATE apart SET value = 'x'; DELETE FROM journal"}) {
        INFO(sql);
        CHECK_THROWS_AS(db.exec(sql), SQLite::Exception);
    }
    CHECK(store::verify_chain(path)->whole);
}

}  // namespace
}  // namespace plumbmark
