// The lists that desk-script plays: how they are read, counted and held against the meet file; and the
// appeal.
#include <catch2/catch.hpp>
#include <iostream>

#include "desk/drive.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/sanitized.h"
#include "support/test_places.h"
#include "tools/desk_script_list.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

base::Result<script::Script> read(const std::string& text) {
    const test::TemporaryFolder folder;
    test::write_bytes(folder / "a.keys", text);
    return script::read_script(folder / "a.keys");
}

std::string problem(const std::string& text) {
    const auto result = read(text);
    return result ? "none" : result.error().text().substr(result.error().text().find("line"));
}

test::Answer play(const std::string& list, const std::string& options = "") {
    return test::run_line("'" + test::build_folder().string() + "/desk-script' --hidden " + options + " '" +
                          list + "' 2>&1");
}

}  // namespace

TEST_CASE("keys of a list are counted press by press, letters that are typed among them") {
    const auto list = read(
        "# a remark\nopen plumbmark desk 'a b.meet'\nkey F8 ctrl+shift+z\ntype Łódź 9\nmove 1 2\nclick 1\n"
        "shot one.png\nexpect plumbmark rule a.meet --json | /stations/0/verdict = \"clear\"\nkeys at most "
        "8\n");
    REQUIRE(list);
    const script::Count count = script::count_of(*list);
    CHECK(count.keys == 8);
    CHECK(count.clicks == 1);
    CHECK(count.moves == 1);
    CHECK(count.pictures == 1);
    CHECK(list->most_keys == 8);
    CHECK(list->program == std::vector<std::string>{"plumbmark", "desk", "a b.meet"});
    REQUIRE(list->expectations.size() == 1);
    CHECK(list->expectations[0].pointer == "/stations/0/verdict");
    CHECK(list->expectations[0].value == "\"clear\"");
    CHECK(script::events_of(*list, "/pictures").find("shot /pictures/one.png\n") != std::string::npos);
}

TEST_CASE("a list that cannot be read says its line and what is expected") {
    CHECK(problem("open a\npress F8\n") == "line 2: 'press' is no word of a list.");
    CHECK(problem("key F8\n") == "line 1: a program is opened first ('open plumbmark desk FILE').");
    CHECK(problem("open a\nexpect b | c = 1\n") == "line 2: a pointer into JSON begins with '/'.");
    CHECK(problem("open a\nexpect b | /c = clear\n") == "line 2: clear is no JSON value.");
    CHECK(problem("open a\nexpect b /c 1\n") ==
          "line 2: expected 'expect PROGRAM ARGUMENTS | /pointer = value'.");
    CHECK(problem("open a\nkeys 8\n") == "line 2: expected 'keys at most NUMBER'.");
}

TEST_CASE(
    "a list ends with 1 where something it expects is not so, or more keys are pressed than it allows") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const std::string list = (folder / "a.keys").string();
    const std::string opening =
        "copy sample_clips\nopen plumbmark desk pier-nine.meet\ntitle f [0-9]+\nkey F1 Escape "
        "ctrl+q\nclose\n";
    test::write_bytes(
        list, opening + "expect plumbmark appeal pier-nine.meet --json | /appeals/0/by = \"Petrel\"\n");
    CHECK(play(list).code == 0);
    test::write_bytes(list,
                      opening + "expect plumbmark appeal pier-nine.meet --json | /appeals/0/by = \"Skua\"\n");
    const test::Answer wrong = play(list);
    CHECK(wrong.code == 1);
    CHECK(wrong.words.find("/appeals/0/by is \"Petrel\", not \"Skua\"") != std::string::npos);
    test::write_bytes(list, opening + "keys at most 2\n");
    CHECK(play(list).code == 1);
    test::write_bytes(list,
                      "copy sample_clips\nopen plumbmark desk none.course --frobnicate\nkey F1\nclose\n");
    CHECK(play(list).code == 90);
}

TEST_CASE("a prepared appeal is settled with two cameras in forty keys") {
    if (!test::can_drive()) return;
    const test::Answer answer = play(test::source_folder() / "tests/desk/appeal.keys");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("7 of 7 expectations hold") != std::string::npos);
}

TEST_CASE("a run is gone through and a touch marked with the pointer alone") {
    if (!test::can_drive()) return;
    const test::Answer answer = play(test::source_folder() / "tests/desk/pointer.keys");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("9 clicks") != std::string::npos);
    CHECK(answer.words.find("1 of 1 expectations hold") != std::string::npos);
}

TEST_CASE("a deck is drawn and taken over and given out with the pointer and a key is changed") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path work = folder / "work";
    const test::Answer answer = play((test::source_folder() / "tests/desk/drawing.keys").string(),
                                     "--folder '" + work.string() + "'");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("6 of 6 expectations hold") != std::string::npos);
    CHECK(test::bytes_of(work / "plumbmark-keys.pdf").starts_with("%PDF-"));
    CHECK(test::bytes_of(work / "config/plumbmark/keys.txt").find("\nbrighter = F9\n") != std::string::npos);
}

TEST_CASE("a camera is found from the plan and a point followed and the moment of a crossing taken") {
    if (!test::can_drive()) return;
    if (test::kSanitized) {
        std::cout << "skipped: three minutes of pauses, and its parts are tested without a window as well\n";
        return;
    }
    const test::Answer answer = play(test::source_folder() / "tests/desk/camera.keys");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("4 of 4 expectations hold") != std::string::npos);
}

TEST_CASE("a coach goes through a run alone and beside another") {
    if (!test::can_drive()) return;
    const test::Answer answer = play(test::source_folder() / "tests/desk/coach.keys");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("2 of 2 expectations hold") != std::string::npos);
    CHECK(answer.words.find("10 pictures") != std::string::npos);
}

TEST_CASE("a coach looks at a season of one athlete and of everybody over two meets") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path work = folder / "work";
    const test::Answer answer =
        play((test::source_folder() / "tests/desk/season.keys").string(), "--folder '" + work.string() + "'");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("2 of 2 expectations hold") != std::string::npos);
    const std::string picture = test::bytes_of(work / "pier-nine-season.svg");
    CHECK(picture.find("<svg") != std::string::npos);
    // The second station of both meets is in it.
    CHECK(picture.find("hawser swing") != std::string::npos);
}

TEST_CASE("a tester writes a rig with its photograph and enters a trial and releases a station") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path work = folder / "work";
    const test::Answer answer =
        play((test::source_folder() / "tests/desk/tester.keys").string(), "--folder '" + work.string() + "'");
    INFO(answer.words);
    CHECK(answer.code == 0);
    CHECK(answer.words.find("4 of 4 expectations hold") != std::string::npos);
    // Faces on the photograph are looked for first, and a program that is ended meanwhile leaves no sheet.
    if (!test::kSanitized) CHECK(test::bytes_of(work / "pier-nine-releases.pdf").starts_with("%PDF-"));
}
