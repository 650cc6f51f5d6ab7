// A meet's day on the command line, by the built program: divisions, a start list, calls, standings, an
// appeal.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using nlohmann::json;
using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

/// A meet with two divisions and four athletes in its final.
struct Day {
    TemporaryFolder folder;
    std::string path = "'" + (folder / "open.meet").string() + "'";

    Day() {
        good("new " + path + " --name 'Pier Nine Youth Open' --book '" + kSamples + "/pier-nine.course'");
        good("divisions " + path + " " +
             list("divisions.csv",
                  "key,name,born_from,born_to,category\nu14g,Girls under 14,2012,2013,girls\n"
                  "u14b,Boys under 14,2012,2013,boys\n"));
        good("enter " + path + " --round Final " +
             list("start.csv",
                  "Bib;Surname;First name;Club;Born;Sex\n17;Ż.;Łucja;Pier club;2012;girls\n"
                  "4;さくら;;Dock club;2013;girls\n21;B.;Ελένη;;2013;girls\n9;Ömer;;;2012;boys\n"));
    }
    std::string list(const std::string& name, const std::string& text) const {
        write_bytes(folder / name, text);
        return "'" + (folder / name).string() + "'";
    }
    json standings(const std::string& options = "") const {
        // What is to be said to people goes to standard error.
        const Answer answer = plumbmark::test::run_line(
            "'" + kProgram + "' standings " + path + " --division u14g --json " + options + " 2>/dev/null");
        REQUIRE(answer.code == 0);
        return json::parse(answer.words)["tables"][0];
    }
};

}  // namespace

TEST_CASE("a start list is entered whole or not at all, every problem with its line") {
    const Day day;
    const std::string wrong = day.list("wrong.csv", "Bib,Born\n30,2012\n,2013\n17,2012\n");
    const Answer refused = run("enter " + day.path + " " + wrong);
    CHECK(refused.code == 3);
    CHECK(has(refused.words, "wrong.csv:3: It has no number.\n"));
    CHECK(has(refused.words, "wrong.csv:4: Number 17 is entered in this round already.\n"));
    CHECK(has(refused.words, "Nothing was entered."));
    CHECK(day.standings()["lines"].size() == 3);
    const std::string more = day.list("more.csv", "who,born in,sort\n30,2012,girls\n");
    CHECK(run("enter " + day.path + " " + more).code == 3);
    const std::string columns = " --column number=who --column 'born=born in' --column category=sort";
    CHECK(has(good("enter " + day.path + " " + more + columns + " --preview"), "1 athlete can be entered"));
    CHECK(day.standings()["lines"].size() == 3);
    good("enter " + day.path + " " + more + columns);
    CHECK(day.standings()["lines"].size() == 4);
    CHECK(has(run("enter " + day.path + " " + day.list("cut.csv", "Bib,Name\n1,\"Ann\n")).words,
              "cut.csv: line 2: a quote is opened here and not closed"));
}

TEST_CASE("calls and times give standings, which are announced, appealed against and published") {
    const Day day;
    CHECK(has(good("call " + day.path + " 17 ccf --time hawser_swing=61.2 --judge 'judge at the quay'"),
              "17: bollard hop clear, hawser swing clear, gantry rungs fail; 1:01.20\n"));
    good("call " + day.path + " 4 ccf --time hawser_swing=61.201/61.1");
    good("call " + day.path + " 9 --status withdrawn --reason 'sprained ankle'");
    const Answer early = run("standings " + day.path + " --publish");
    CHECK(early.code == 3);
    CHECK(has(early.words, "The results of Final, u14g still wait for number 21."));
    good("call " + day.path + " 21 ccc --time 1:40.5");
    CHECK(has(good("standings " + day.path + " --announce"),
              "Final, Girls under 14 (announced, publication 2)"));
    json table = day.standings();
    CHECK(table["lines"][0]["number"] == "21");
    CHECK(table["lines"][1]["number"] == "17");
    CHECK(table["lines"][2]["time"]["from_ns"] == 61'210'000'000);

    const Answer refused = run("appeal " + day.path + " --lodge 4 --station bollard_hop --by Ann --as club");
    CHECK(refused.code == 1);
    CHECK(has(refused.words, "An appeal may be lodged by athlete or coach, not by the club."));
    CHECK(has(
        good("appeal " + day.path + " --lodge 4 --station gantry_rungs --by Ann --point 'the fourth rung'"),
        "appeal 2 is lodged"));
    CHECK(has(good("appeal " + day.path),
              "appeal 2: number 4, station 'gantry_rungs', by Ann (coach): the fourth rung; appeals about "
              "this result end in "));
    CHECK(day.standings()["lines"][2]["stations"][2]["under_appeal"] == true);
    CHECK(run("standings " + day.path + " --publish").code == 3);

    const std::string decide = "appeal " + day.path + " --decide 2 --ruling clear";
    CHECK(has(run(decide).words, "The meet asks for 1 signature."));
    const std::string effect = good(decide + " --sign Bea");
    CHECK(has(effect, "The call is changed to clear: the footage shows it."));
    CHECK(has(effect, "Final, u14g: number 4 moves from place 3 to place 2.\n"));
    CHECK(has(effect, "Nothing is decided yet: say --confirm."));
    CHECK(day.standings()["lines"][2]["number"] == "4");
    good(decide + " --sign Bea --confirm");
    CHECK(day.standings()["lines"][1]["number"] == "4");
    CHECK(day.standings("--publish --note 'after appeal 2'")["official"] == true);
    CHECK(has(run("standings " + day.path + " --publish --division u14g").words,
              "There is nothing to give out"));
    CHECK(has(good("verify " + day.path), "follow one another"));
}

TEST_CASE("an appeal is decided by what the marks of its run come to, where no ruling is said") {
    const TemporaryFolder folder;
    for (const auto& entry : std::filesystem::directory_iterator(kSamples))
        std::filesystem::copy_file(entry.path(), folder / entry.path().filename().string());
    const std::string path = "'" + (folder / "pier-nine.meet").string() + "'";
    CHECK(has(run("appeal " + path).words, "appeal 1: number 41, station 'hawser_swing', by Petrel (coach)"));
    const std::string effect = good("appeal " + path + " --decide 1 --sign Bea");
    // The truth of the sample clips: clear with both cameras.
    CHECK(has(effect, "The ruling is CLEAR: "));
    CHECK(has(effect, "The call is changed to clear: the footage shows it."));
    CHECK(has(effect, "Final, 12 to 13: number 41 moves from place "));
    good("appeal " + path + " --decide 1 --sign Bea --confirm");
    CHECK_FALSE(has(run("appeal " + path).words, "appeal 1:"));
}

TEST_CASE("an appeal that is lodged is the question of its run, until it is withdrawn") {
    const Day day;
    good("call " + day.path + " 17 cf");
    good("appeal " + day.path + " --lodge 17 --station hawser_swing --by Ann --point 'Both feet?'");
    const std::string ruled = good("rule " + day.path);
    CHECK(has(ruled, "Question: Both feet?"));
    CHECK(has(ruled, "Floor call: fail, under appeal."));
    good("appeal " + day.path + " --withdraw 1 --reason settled");
    CHECK(has(good("rule " + day.path), "Floor call: fail."));
}

TEST_CASE("standings are written as a table and as a page") {
    const Day day;
    good("call " + day.path + " 17 f");
    const std::string csv = good("standings " + day.path + " --csv");
    CHECK(has(csv, "Final,u14g,1,17,Łucja Ż.,Pier club,0,0,,placed,\r\n"));
    const auto page = day.folder / "results.html";
    good("standings " + day.path + " --html --out '" + page.string() + "'");
    CHECK(has(bytes_of(page), "<bdi>さくら</bdi>"));
}

TEST_CASE("rules of the meet are read and set by name") {
    const Day day;
    CHECK(has(good("rules " + day.path), "appeals.minutes = 30  ("));
    CHECK(has(good("rules " + day.path + " --set appeals.minutes=15 --set unit=0.1"),
              "appeals.minutes = 15  ("));
    const Answer wrong = run("rules " + day.path + " --set appeals.minutes=7 --set unit=2");
    CHECK(wrong.code == 3);
    CHECK(has(wrong.words, "unit: '2' cannot stand here; 0.001, 0.01, 0.1 or 1 can."));
    CHECK(has(good("rules " + day.path), "appeals.minutes = 15  ("));
    CHECK(has(run("call " + day.path + " 17 ccx").words,
              "'x' is no call: c is clear, f is fail, - is none yet."));
    CHECK(has(run("call " + day.path + " 99 c").words, "Nobody with the number '99' is entered in Final."));
    CHECK(has(run("call " + day.path + " 17 c --round Heats").words,
              "There is no round 'Heats' in this meet; it has 'Final'."));
}
