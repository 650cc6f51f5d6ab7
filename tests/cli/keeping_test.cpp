// Keeping a meet on the command line, by the built program: backups, restoring, erasing a person's data, and
// calls by table.
#include <catch2/catch.hpp>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

/// A meet with three athletes in its final.
struct Day {
    TemporaryFolder folder;
    fs::path meet = folder / "open.meet";
    std::string path = "'" + meet.string() + "'";

    Day() {
        good("new " + path + " --name 'Pier Nine Youth Open' --book '" + kSamples + "/pier-nine.course'");
        good("divisions " + path + " " + list("divisions.csv", "key,name\nu14,Under 14\n"));
        good("enter " + path + " --round Final " +
             list("start.csv",
                  "number,name,club,division\n17,Quillfeather,Marshlight,u14\n4,Ondine,Pier,u14\n"
                  "21,Lark,Pier,u14\n"));
    }
    [[nodiscard]] std::string list(const std::string& name, const std::string& text) const {
        write_bytes(folder / name, text);
        return "'" + (folder / name).string() + "'";
    }
};

TEST_CASE("a meet is backed up by name and by date, put back, and what was there is kept") {
    const Day day;
    const std::string copy = "'" + (day.folder / "copy.meet").string() + "'";
    CHECK(has(good("backup " + day.path + " " + copy), "verified"));
    CHECK(has(good("backup " + day.path), "open 20"));
    CHECK(run("backup " + day.path + " " + copy).code == 5);
    good("call " + day.path + " 17 ccc --time 61.20");
    const std::string words = good("restore " + copy + " " + day.path);
    CHECK(has(words, "as in the backup"));
    CHECK(has(words, "open replaced 20"));
    CHECK(has(words, "it has 1 row more"));
    CHECK(has(good("call " + day.path + " 17 f"), "fail"));
    good("verify " + day.path);
    write_bytes(day.folder / "copy.meet", bytes_of(day.folder / "copy.meet").substr(0, 9'000));
    CHECK(run("restore " + copy + " " + day.path).code == 6);
    CHECK(run("restore '" + (day.folder / "none.meet").string() + "' " + day.path).code == 4);
    good("verify " + day.path);
}

TEST_CASE("erasing an athlete's data says first what goes, wants to be confirmed, and leaves no trace") {
    const Day day;
    good("add-run " + day.path + " --run 'Quillfeather, extra' --clip '" + kSamples + "/run-1-a.mp4'");
    good("call " + day.path + " 17 cf --time 41.20 --judge Thistlewood");
    good("call " + day.path + " 4 ccc --time 61.20 --judge Heron");
    good("call " + day.path + " 17 --status withdrawn --reason 'Quillfeather hurt a knee'");
    good("call " + day.path + " 17 --status entered");
    good("standings " + day.path + " --announce");
    good("appeal " + day.path + " --lodge 17 --station hawser_swing --by Bramblecote");
    good("appeal " + day.path + " --decide 1 --ruling clear --sign Saltmarsh --confirm");
    const std::string plan = good("erase " + day.path + " 17");
    CHECK(has(plan, "1 x name"));
    CHECK(has(plan, "2 x judge of a call"));
    CHECK(has(plan, "1 x judge of a time"));
    CHECK(has(plan, "1 x signature"));
    CHECK(has(plan, "what such a thing held before"));
    CHECK(has(plan, "the number 17"));
    CHECK(has(plan, "copies and backups made earlier"));
    CHECK(has(plan, "with --confirm"));
    CHECK(has(bytes_of(day.meet), "Marshlight"));

    const std::string done = good("erase " + day.path + " 17 --confirm");
    CHECK(has(done, "personal values were erased"));
    const std::string bytes = bytes_of(day.meet);
    for (const char* word : {"Marshlight", "Thistlewood", "Bramblecote", "Saltmarsh", "hurt a knee"})
        CHECK_FALSE(has(bytes, word));
    // The run outside the competition belongs to nobody; its label is the one place with the name.
    CHECK(has(bytes, "Quillfeather, extra"));
    CHECK_FALSE(has(bytes, "Quillfeather hurt"));
    CHECK(has(bytes, "Ondine"));
    CHECK(has(bytes, "Heron"));
    CHECK(has(good("standings " + day.path), "17"));
    CHECK(has(good("erase " + day.path + " 17"), "nothing"));
    CHECK(run("erase " + day.path + " 99").code == 4);
    CHECK(run("erase " + day.path + " --tester 5").code == 4);
    CHECK(run("erase " + day.path).code == 2);
    CHECK(run("erase " + day.path + " 17 --tester 5").code == 2);
}

TEST_CASE("what a person did is written down in words that name nobody") {
    const Day day;
    good("add-run " + day.path + " --run 'Lark, training' --clip '" + kSamples + "/run-1-a.mp4'");
    const std::string bytes = bytes_of(day.meet);
    CHECK_FALSE(has(bytes, "\"label\":\"add Lark"));
    CHECK(has(bytes, "\"label\":\"add a run\""));
}

TEST_CASE("calls and times that a judge wrote in a table are looked through, and entered as a whole") {
    const Day day;
    const std::string table = day.list("calls.csv",
                                       "Number;bollard hop;hawser swing;gantry rungs;time;Judge\n"
                                       "17;c;c;c;61.20/61.24;Heron\n4;c;f;;;Heron\n21;clear;CLEAR;fail;;\n");
    const std::string preview = good("call " + day.path + " --take-in " + table + " --preview");
    CHECK(has(preview, "17  bollard hop clear, hawser swing clear, gantry rungs clear; 1:01.24"));
    CHECK(has(preview, "calls of 3 athletes can be entered"));
    CHECK_FALSE(has(good("standings " + day.path), "1:01.24"));
    CHECK(has(good("call " + day.path + " --take-in " + table), "calls of 3 athletes entered"));
    CHECK(has(good("standings " + day.path), "1:01.24"));

    const std::string out = "'" + (day.folder / "out.csv").string() + "'";
    good("call " + day.path + " --out " + out);
    const std::string given = bytes_of(day.folder / "out.csv");
    CHECK(has(given, "17,ccc,61.2/61.24,,Heron,entered,"));
    CHECK(has(given, "21,ccf,"));
    const std::string before = bytes_of(day.meet);
    good("call " + day.path + " --take-in " + out + " --preview");
    CHECK(bytes_of(day.meet) == before);
}

TEST_CASE("a table of calls with mistakes is refused as a whole, each mistake with its line") {
    const Day day;
    const std::string before = bytes_of(day.meet);
    const Answer answer = run("call " + day.path + " --take-in " +
                              day.list("calls.csv",
                                       "number,calls,time,status\n17,ccc,61.20,\n99,c,,\n4,cx,,\n"
                                       "21,c,12:99,\n17,c,,\n"));
    CHECK(answer.code == 3);
    CHECK(has(answer.words, "calls.csv:3: Nobody with the number '99'"));
    CHECK(has(answer.words, "calls.csv:4: 'x' is no call"));
    CHECK(has(answer.words, "calls.csv:5: "));
    CHECK(has(answer.words, "calls.csv:6: The number 17 stands in line 2 already."));
    CHECK(has(answer.words, "Nothing was entered."));
    CHECK(bytes_of(day.meet) == before);
    const Answer column =
        run("call " + day.path + " --take-in " + day.list("other.csv", "number,swimming\n17,c\n"));
    CHECK(has(column.words, "The column 'swimming' is not known"));
    CHECK(run("call " + day.path).code == 2);
    CHECK(run("call " + day.path + " 17 --out x.csv").code == 2);
}

}  // namespace
