// Sealing on the command line, by the built program: a key, seals, a lost key and a rolled one, published
// results, cut-off rows, and the package of a ruling that is checked without the meet.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <filesystem>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;
namespace fs = std::filesystem;

const std::string kPassphrase = "PLUMBMARK_PASSPHRASE='nine bollards' ";

/// A copy of the sample meet, and a folder for keys that is nobody's.
struct Desk {
    TemporaryFolder folder;
    std::string meet = "'" + (folder / "samples/pier-nine.meet").string() + "'";

    Desk() { fs::copy(kSamples, folder / "samples", fs::copy_options::recursive); }

    /// Without a terminal, as a script runs it.
    Answer run(const std::string& arguments, const std::string& before = kPassphrase) const {
        return plumbmark::test::run_line("export XDG_DATA_HOME='" + folder.path().string() + "/data'\n" +
                                         before + "setsid -w '" + kProgram + "' " + arguments +
                                         " 2>&1 </dev/null");
    }
    std::string good(const std::string& arguments, const std::string& before = kPassphrase) const {
        const Answer answer = run(arguments, before);
        INFO(arguments << "\n" << answer.words);
        REQUIRE(answer.code == 0);
        return answer.words;
    }
    std::string make_key() const { return good("seal " + meet + " --new-key --holder 'Ines Quay'"); }
    fs::path keys() const { return folder / "data/plumbmark/keys"; }
    int rows() const {
        return SQLite::Database((folder / "samples/pier-nine.meet").string(), SQLite::OPEN_READONLY)
            .execAndGet("SELECT max(number) FROM journal")
            .getInt();
    }
};

std::string line_in(const std::string& words) {
    const std::size_t at = words.find("PM1-");
    REQUIRE(at != std::string::npos);
    return words.substr(at, words.find_first_of(" \n", at) - at);
}

std::string fingerprint_in(const std::string& words) {
    const std::string before = "Its fingerprint: ";
    const std::size_t at = words.find(before);
    REQUIRE(at != std::string::npos);
    return words.substr(at + before.size(), 47);
}

}  // namespace

TEST_CASE(
    "a key is made, the record sealed and verified, and a line kept elsewhere tells rows that were cut off") {
    const Desk desk;
    const Answer none = desk.run("seal " + desk.meet);
    CHECK(none.code == 4);
    CHECK(has(none.words, "This meet has no signing key yet. Make one with --new-key --holder NAME."));
    CHECK(has(desk.good("verify " + desk.meet), "The record is not sealed: this meet has no signing key."));
    CHECK(desk.run("seal " + desk.meet + " --new-key").code == 3);
    const int before = desk.rows();
    const std::string made = desk.make_key();
    CHECK(has(made, "The key of Ines Quay (head judge) signs for this meet from now on."));
    const std::string sealed = desk.good("seal " + desk.meet);
    CHECK(has(sealed, "The record is sealed up to row " + std::to_string(before + 1) + "."));
    CHECK(desk.rows() == before + 2);
    CHECK(has(desk.good("seal " + desk.meet), "Nothing was written since row"));
    CHECK(desk.rows() == before + 2);
    const std::string line = line_in(sealed);
    const std::string verified =
        desk.good("verify " + desk.meet + " --seal " + line + " --key '" + fingerprint_in(made) + "'");
    CHECK(has(verified, "The record is sealed up to row " + std::to_string(before + 1) + " of " +
                            std::to_string(before + 2) + ", by Ines Quay (head judge), "));
    CHECK(has(verified, "fingerprint " + fingerprint_in(made) + "."));
    CHECK(has(verified, "The last seal's line: " + line));
    CHECK(has(verified, "The fingerprint is the one that was given."));
    CHECK(has(verified, "is the one that the seal line was made for."));
    CHECK(desk.run("verify " + desk.meet + " --key '00000 11111'").code == 1);
    CHECK(desk.run("verify " + desk.meet + " --seal PM1-3").code == 3);

    // A copy from before the seal stands for a record whose rows were cut off cleanly.
    const TemporaryFolder other;
    fs::copy_file(kSamples + "/pier-nine.meet", other / "cut.meet");
    const Answer cut = desk.run("verify '" + (other / "cut.meet").string() + "' --seal " + line);
    CHECK(cut.code == 1);
    CHECK(has(cut.words, "and this file ends at row " + std::to_string(before) + ": rows were cut off"));
}

TEST_CASE("a wrong passphrase, none at all, and a lost secret half are told, and change nothing") {
    const Desk desk;
    desk.make_key();
    const std::string before = bytes_of(desk.folder / "samples/pier-nine.meet");
    const Answer wrong = desk.run("seal " + desk.meet, "PLUMBMARK_PASSPHRASE='ten bollards' ");
    CHECK(wrong.code == 3);
    CHECK(has(wrong.words,
              "This is not the passphrase of the key, or its file was changed. Nothing was signed."));
    const Answer none = desk.run("seal " + desk.meet, "");
    CHECK(none.code == 4);
    CHECK(has(none.words,
              "there is no terminal to ask for it. Give it in the variable PLUMBMARK_PASSPHRASE, or with "
              "--passphrase-fd."));
    const Answer again = desk.run("seal " + desk.meet + " --new-key --holder Somebody");
    CHECK(again.code == 3);
    CHECK(has(again.words, "This meet has a key already, of Ines Quay (head judge). Replace that one."));
    CHECK(desk.run("seal " + desk.meet + " --lost").code == 2);
    fs::remove_all(desk.keys());
    const Answer lost = desk.run("seal " + desk.meet);
    CHECK(lost.code == 4);
    CHECK(has(lost.words, "The secret half of the key of Ines Quay (head judge) is not on this machine."));
    CHECK(bytes_of(desk.folder / "samples/pier-nine.meet") == before);
    // From an open file, a line for each passphrase.
    desk.good("seal " + desk.meet + " --replace-key --lost --holder 'Ines Quay' --passphrase-fd 3",
              "exec 3<<'END'\nquay wall nine\nEND\n");
    CHECK(desk.good("seal " + desk.meet, "PLUMBMARK_PASSPHRASE='quay wall nine' ").find("sealed up to") !=
          std::string::npos);
}

TEST_CASE("a key is replaced with the old one's signature, or as lost with a gap that verifying tells") {
    const Desk desk;
    desk.make_key();
    desk.good("seal " + desk.meet);
    desk.good("seal " + desk.meet + " --replace-key --holder 'Tomo Mole' --as jury",
              kPassphrase + "PLUMBMARK_NEW_PASSPHRASE='mole and quay' ");
    CHECK(desk.run("seal " + desk.meet).code == 3);
    desk.good("seal " + desk.meet, "PLUMBMARK_PASSPHRASE='mole and quay' ");
    const std::string signed_over = desk.good("verify " + desk.meet);
    CHECK(has(signed_over, "by Tomo Mole (jury)"));
    CHECK_FALSE(has(signed_over, "did not sign it"));
    desk.good("seal " + desk.meet + " --replace-key --lost --holder 'Ines Quay'");
    desk.good("seal " + desk.meet);
    const std::string gap = desk.good("verify " + desk.meet);
    CHECK(has(gap, "The key before it did not sign it, as it was lost"));
    CHECK(has(gap, "by Ines Quay (head judge)"));
}

TEST_CASE("what is published is sealed where the meet has a key, and it is said where it is not") {
    const Desk desk;
    const std::string meet = "'" + (desk.folder / "open.meet").string() + "'";
    desk.good("new " + meet + " --name 'Pier Nine Youth Open' --book '" + kSamples + "/pier-nine.course'");
    write_bytes(desk.folder / "divisions.csv", "key,name\nopen,Open\n");
    write_bytes(desk.folder / "start.csv", "number,name,division\n17,Ann Quay,open\n");
    desk.good("divisions " + meet + " '" + (desk.folder / "divisions.csv").string() + "'");
    desk.good("enter " + meet + " '" + (desk.folder / "start.csv").string() + "'");
    desk.good("call " + meet + " 17 ccc --time 61.2");
    CHECK(has(desk.good("standings " + meet + " --publish"),
              "The results are not sealed: the meet has no signing key"));
    // Nothing is given out, so nothing is said of sealing.
    CHECK(desk.run("standings " + meet + " --publish").words.find("sealed") == std::string::npos);
    desk.good("seal " + meet + " --new-key --holder 'Ines Quay'");
    desk.good("call " + meet + " 17 ccf --time 61.2");
    const Answer wrong = desk.run("standings " + meet + " --publish", "PLUMBMARK_PASSPHRASE=not-that-one ");
    CHECK(wrong.code == 3);
    CHECK(has(desk.good("verify " + meet), "The record is not sealed yet."));
    CHECK(has(desk.good("standings " + meet + " --publish", ""),
              "The results are not sealed: no passphrase was given"));
    desk.good("call " + meet + " 17 ccc --time 62");
    CHECK(has(desk.good("standings " + meet + " --publish"), "The results are sealed: PM1-"));
    const std::string verified = desk.good("verify " + meet);
    CHECK(has(verified, "The record is sealed up to row "));
    CHECK_FALSE(has(verified, "after it"));
    desk.good("call " + meet + " 17 ccf --time 62");
    CHECK(has(desk.good("standings " + meet + " --publish --no-seal"),
              "The results are not sealed: --no-seal was given."));
    CHECK(has(desk.good("verify " + meet), "2 rows after it are not sealed."));
}

TEST_CASE(
    "the package of a ruling verifies without the meet, as a folder and as a zip, and not once it is "
    "changed") {
    const Desk desk;
    const std::string made = desk.make_key();
    const fs::path folder = desk.folder / "run-2", zip = desk.folder / "run-2.zip";
    desk.good("seal " + desk.meet + " --run 'run 2' --package '" + folder.string() + "'");
    desk.good("seal " + desk.meet + " --run 'run 2' --package '" + zip.string() + "'");
    CHECK(desk.run("seal " + desk.meet + " --run 'run 2' --package '" + folder.string() + "'").code == 5);
    fs::remove_all(desk.folder / "samples");
    fs::remove_all(desk.keys());
    for (const fs::path& path : {folder, zip}) {
        const std::string verified =
            desk.good("verify '" + path.string() + "' --key '" + fingerprint_in(made) + "'", "");
        CHECK(has(verified, "Signed by Ines Quay (head judge) with the key " + fingerprint_in(made)));
        CHECK(has(verified, "files are as they were signed"));
        CHECK(has(verified, "run 2: "));
        CHECK(has(verified, "the marks come to the same ruling."));
    }
    std::string marks = bytes_of(folder / "marks.json");
    marks[marks.size() / 2] = static_cast<char>(marks[marks.size() / 2] ^ 1);
    write_bytes(folder / "marks.json", marks);
    fs::remove(folder / "rules.json");
    write_bytes(folder / "note.txt", "x");
    const Answer changed = desk.run("verify '" + folder.string() + "'", "");
    CHECK(changed.code == 1);
    CHECK(has(changed.words, "marks.json: changed"));
    CHECK(has(changed.words, "rules.json: missing"));
    CHECK(has(changed.words, "Its manifest says: signed by Ines Quay (head judge)"));
    CHECK(has(changed.words, "'note.txt': in the package, and the manifest does not name it"));
    CHECK(has(changed.words, "The package is NOT as it was signed."));
    CHECK(desk.run("verify '" + desk.folder.path().string() + "'", "").code == 3);
    write_bytes(desk.folder / "cut.zip", bytes_of(zip).substr(0, 3'000));
    CHECK(desk.run("verify '" + (desk.folder / "cut.zip").string() + "'", "").code == 6);
}
