// What the store says to a window that speaks German, and that its English stays what it was.
#include <catch2/catch.hpp>
#include <filesystem>

#include "store/csv.h"
#include "store/key_store.h"
#include "store/marks_json.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/in_language.h"
#include "support/temporary_folder.h"

namespace plumbmark::store {
namespace {

namespace fs = std::filesystem;

void check(const base::Error& error, const std::string& english, const std::string& german) {
    CHECK(error.text() == english);
    CHECK(error.spoken() == german);
}

}  // namespace

TEST_CASE("a file that is no meet file is refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const test::TemporaryFolder folder;
    const fs::path file = folder / "notes.meet";
    const auto missing = MeetFile::open(file);
    REQUIRE_FALSE(missing.ok());
    check(missing.error(), file.string() + ": there is no such file",
          file.string() + ": diese Datei gibt es nicht");
    test::write_bytes(file, std::string(200, 'x'));
    const auto other = MeetFile::open(file);
    REQUIRE_FALSE(other.ok());
    check(other.error(), file.string() + ": this is not a meet file",
          file.string() + ": das ist keine Wettkampfdatei");
}

TEST_CASE("a meet file that is in use or cut off is refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const test::TemporaryFolder folder;
    const fs::path file = folder / "pier-nine.meet";
    {
        const auto made = MeetFile::create(file, {"Pier Nine Youth Open", "Pier Nine", "2026-05-02"});
        REQUIRE(made.ok());
        const auto again = MeetFile::open(file);
        REQUIRE_FALSE(again.ok());
        CHECK(
            again.error().sentence.spoken() ==
            "ein anderes Programm hat diese Wettkampfdatei zum Schreiben offen; sie dort schließen oder hier "
            "nur zum Lesen öffnen");
    }
    const std::string bytes = test::bytes_of(file);
    test::write_bytes(file, bytes.substr(0, 50));
    const auto cut = MeetFile::open(file);
    REQUIRE_FALSE(cut.ok());
    check(cut.error(), file.string() + ": the file is cut off after its first bytes",
          file.string() + ": die Datei ist nach den ersten Bytes abgeschnitten");
}

TEST_CASE("what is written is the same whatever language is chosen", "[spoken]") {
    const test::TemporaryFolder folder;
    const auto rows_of = [&](const std::string& name) {
        OpenOptions options;
        options.clock = [] { return std::int64_t{1'777'000'000'000'000'000}; };
        options.random = [](unsigned char* bytes, std::size_t count) { std::fill_n(bytes, count, 7); };
        auto file = MeetFile::create(folder / name, {"Pier Nine Youth Open", "", ""}, options);
        REQUIRE(file.ok());
        meet::Athlete athlete;
        athlete.id = {0};
        athlete.number = "17";
        file->submit({"enter 1 athlete", {{std::nullopt, athlete}}, 0});
        REQUIRE(file->flush().ok());
        const auto rows = file->journal(1, 10);
        REQUIRE(rows.ok());
        std::string all;
        for (const JournalRow& row : *rows)
            all += row.canonical_json + "\n" + row.sha256 + "\n";
        return all;
    };
    const std::string english = rows_of("one.meet");
    const test::InLanguage german("de");
    CHECK(rows_of("two.meet") == english);
    // What verifying finds is read by the command line.
    const auto report = verify_chain(folder / "two.meet");
    REQUIRE(report.ok());
    CHECK(report->sentence == "all 2 journal rows follow one another, and the tables hold what they say");
}

TEST_CASE("a marks text that makes no sense is refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const auto refused = [](const std::string& text) {
        const auto marks = read_marks(text);
        REQUIRE_FALSE(marks.ok());
        return marks.error();
    };
    check(refused("{\n  \"format\": }"), "line 2, column 13: this is not JSON from here on",
          "Zeile 2, Spalte 13: ab hier ist das kein JSON");
    check(refused("[]"), "the whole text: an object is expected here, not a list",
          "der ganze Text: hier gehört ein Objekt hin, nicht eine Liste");
    const std::string begin =
        R"({"format": "plumbmark-marks/1", "run": "run 4", "clips": [{"key": "a", "file": "a.mkv"}], )";
    check(
        refused(begin + R"("contacts": [{"clip": "a", "frame": 1, "part": "left_food", "surface": "deck",)" +
                R"( "state": "on"}]})"),
        "contacts[0].part: 'left_food' is not known here; did you mean 'left_foot'?",
        "contacts[0].part: »left_food« ist hier nicht bekannt; gemeint »left_foot«?");
    check(
        refused(begin + R"("contacts": [{"clip": "a", "frame": 1, "part": "left_foot", "surface": "deck",)" +
                R"( "state": "perhaps"}]})"),
        "contacts[0].state: 'perhaps' is not known here; one of on or off is expected",
        "contacts[0].state: »perhaps« ist hier nicht bekannt; erwartet: on oder off");
    check(refused(begin + R"("marks": [{"clip": "a", "early": 9, "late": 8, "event": "control"}]})"),
          "marks[0]: its early frame is not before its late frame",
          "marks[0]: das frühe Bild liegt nicht vor dem späten");
}

TEST_CASE("a list and a passphrase that will not do are refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const auto list = read_csv("number,name\n17,Ann,2012\n");
    REQUIRE_FALSE(list.ok());
    check(list.error(), "line 2: the row has 3 fields, the header 2",
          "Zeile 2: die Zeile hat 3 Felder, die Kopfzeile 2");
    const auto passphrase = check_new_passphrase("short");
    REQUIRE_FALSE(passphrase.ok());
    CHECK(passphrase.error().sentence.spoken().find("Eine Passphrase hat mindestens ") == 0);
    CHECK(passphrase.error().sentence.english().find("A passphrase has at least ") == 0);
    const test::TemporaryFolder folder;
    const auto key = open_key(folder.path(), std::string(64, 'a'), "a passphrase of some length");
    REQUIRE_FALSE(key.ok());
    CHECK(key.error().sentence.english() == "The secret key is not on this machine.");
    CHECK(key.error().sentence.spoken() == "Der geheime Schlüssel ist nicht auf diesem Rechner.");
}

}  // namespace plumbmark::store
