// plumbmark compare and plumbmark season as a person runs them, on the sample meet.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>

#include "cli/program.h"
#include "report/schema.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using nlohmann::json;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kProgram;
using plumbmark::test::kSamples;
using plumbmark::test::misfits;
using plumbmark::test::run;
using plumbmark::test::run_line;
using plumbmark::test::schema_of_docs;
using plumbmark::test::TemporaryFolder;

const std::string kMeet = "'" + kSamples + "/pier-nine.meet'";

/// Standard output alone, as JSON.
json told(const std::string& arguments) {
    const auto answer = run_line("'" + kProgram + "' " + arguments + " --json 2>/dev/null");
    REQUIRE(answer.code == 0);
    return json::parse(answer.words);
}

/// From the start signal to the first foot on the coil deck, as it was rendered.
std::int64_t true_hop(const std::string& run) {
    std::ifstream file(kSamples + "/truth.json");
    const json truth = json::parse(file);
    std::int64_t start = 0;
    for (const auto& one : truth["runs"]) {
        if (one["run"] != run) continue;
        for (const auto& event : one["events"]) {
            if (event["event"] == "signal" && event["signal"] == "start") start = event["time_ns"];
            if (event["event"] == "touch" && event["surface"] == "coil_deck")
                return event["time_ns"].get<std::int64_t>() - start;
        }
    }
    FAIL("no such run");
    return 0;
}

}  // namespace

TEST_CASE("compare prints brackets that hold the true times") {
    const std::string text = good("compare " + kMeet + " --run 1 --run 'run 3'");
    const std::regex line("([AB]), CLEAR: ([0-9.]+) to ([0-9.]+) s; from the start signal");
    std::smatch found;
    std::string rest = text;
    for (const std::string truth : {"run-1", "run-3"}) {
        INFO(text);
        REQUIRE(std::regex_search(rest, found, line));
        const double seconds = static_cast<double>(true_hop(truth)) * 1e-9;
        CHECK(std::stod(found[2]) <= seconds);
        CHECK(seconds <= std::stod(found[3]));
        rest = found.suffix();
    }
    CHECK(has(text, "A against B: no difference that these frames can show"));
    CHECK(has(text, "Along the course, laid over each other at the start"));
}

TEST_CASE("compare as JSON fits its schema with two runs and with one") {
    const json schema = schema_of_docs("compare.schema.json");
    const json two = told("compare " + kMeet + " --run 1 --run 3 --align station:hawser_swing");
    CHECK(misfits(schema, two) == std::vector<std::string>{});
    CHECK(two["compared"]["anchor"]["wish"] == "station:hawser_swing");
    const json time = two["runs"][0]["stations"][0]["time"];
    CHECK(time["low_ns"].get<std::int64_t>() <= true_hop("run-1"));
    CHECK(true_hop("run-1") <= time["high_ns"].get<std::int64_t>());
    const json one = told("compare " + kMeet + " --run 4 --against 1 --against 2 --against 3");
    CHECK(misfits(schema, one) == std::vector<std::string>{});
    CHECK(one["compared"].is_null());
    CHECK(one["references"].back()["kind"] == "group_median");
    json wrong = one;
    wrong["runs"][0].erase("grips");
    wrong["references"][0]["kind"] = "worst";
    CHECK(misfits(schema, wrong).size() == 2);
}

TEST_CASE("compare writes its table and says what it does not take") {
    const TemporaryFolder folder;
    const std::string csv = (folder / "runs.csv").string();
    good("compare " + kMeet + " --run 1 --run 3 --csv '" + csv + "'");
    const std::string table = plumbmark::test::bytes_of(csv);
    CHECK(table.rfind("run,station,figure,of,from,to,low_s,high_s,count_low,count_high,told,doubts\r\n", 0) ==
          0);
    CHECK(has(table, "run 1 against run 3,gantry_rungs,lost,"));
    CHECK(has(table, "run 1,hawser_swing,grip,left_hand hawser,left hand touches hawser,"));
    CHECK(run("compare " + kMeet + " --run 9000").code == 4);
    CHECK(has(run("compare " + kMeet + " --run 9000").words,
              "There is no run '9000' in this meet; it has 'run 1'"));
    CHECK(run("compare " + kMeet + " --run 1 --run 3 --group u14g").code == 2);
    CHECK(run("compare " + kMeet + " --run 1 --align start").code == 2);
    CHECK(run("compare " + kMeet + " --run 1 --run 3 --align middle").code == 3);
    CHECK(run("compare " + kMeet + " --run 1 --run 3 --align take-off:99").code == 4);
    CHECK(run("compare " + kMeet + " --run 1 --group nobody").code == 4);
    CHECK(run("compare nowhere.meet --run 1").code == 4);
    CHECK(has(run("compare " + kMeet + " --run 'Final 12'").words, "Nothing is marked on this run yet."));
}

TEST_CASE("compare draws how two runs drew apart, and the times and the rhythm of one") {
    TemporaryFolder folder;
    const std::string two = (folder / "two").string(), one = (folder / "one").string();
    CHECK(good("compare " + kMeet + " --run 1 --run 3 --plots '" + two + "'").empty());
    CHECK(good("compare " + kMeet + " --run 1 --plots '" + one + "'").empty());
    const std::vector<std::string> drawn{two + "/split", one + "/times", one + "/rhythm"};
    for (const std::string& name : drawn) {
        INFO(name);
        const std::string svg = plumbmark::test::bytes_of(name + ".svg");
        CHECK(svg.rfind("<svg ", 0) == 0);
        CHECK(has(svg, "bollard hop"));
        CHECK(plumbmark::test::bytes_of(name + ".png").rfind("\x89PNG\r\n", 0) == 0);
    }
    CHECK(has(plumbmark::test::bytes_of(two + "/split.svg"), "run 3"));
    // A folder that cannot be made is told.
    const auto refused = run("compare " + kMeet + " --run 1 --plots /dev/null/plots");
    CHECK(refused.code != 0);
    CHECK(has(refused.words, "/dev/null/plots"));
}

TEST_CASE("season draws how the stations went over the meets") {
    TemporaryFolder folder;
    const std::string drawn = (folder / "drawn").string();
    CHECK(good("season " + kMeet + " --plots '" + drawn + "'").empty());
    const std::string svg = plumbmark::test::bytes_of(drawn + "/season.svg");
    CHECK(svg.rfind("<svg ", 0) == 0);
    CHECK(has(svg, "hawser swing: share cleared"));
    CHECK(has(svg, "2026-05-02"));
    CHECK(plumbmark::test::bytes_of(drawn + "/season.png").rfind("\x89PNG\r\n", 0) == 0);
    CHECK(has(good("season " + kMeet + " --json --plots '" + drawn + "'"), "\"stations\""));
    CHECK(run("season " + kMeet + " --plots /dev/null/plots").code != 0);
}

TEST_CASE("season goes on where one file is broken and says how an athlete was matched") {
    const TemporaryFolder folder;
    std::filesystem::copy_file(kSamples + "/pier-nine.meet", folder / "second.meet");
    plumbmark::test::write_bytes(folder / "broken.meet", "no meet");
    good("new '" + (folder / "empty.meet").string() + "' --name 'Pier Nine Youth Open' --book '" + kSamples +
         "/pier-nine.course'");
    std::string files = kMeet;
    for (const char* name : {"second.meet", "broken.meet", "empty.meet"})
        files += " '" + (folder / name).string() + "'";
    const std::string text = good("season " + files + " --athlete Dunlin");
    CHECK(has(text, "broken.meet: left out."));
    CHECK(has(text, "empty.meet: nobody there answers to that"));
    CHECK(has(text, "number 17, Dunlin, found by the name"));
    CHECK(has(text, "   2 runs: every station cleared"));
    CHECK(has(good("season " + files + " --athlete second.meet=30"), "found by the number 30"));
    const json season = told("season " + files);
    CHECK(misfits(schema_of_docs("season.schema.json"), season) == std::vector<std::string>{});
    CHECK(season["runs"].size() == 10);
    CHECK(run("season '" + (folder / "broken.meet").string() + "'").code == 6);
    CHECK(run("season " + files + " --athlete Dunlin --athlete Teal").code == 3);
}

TEST_CASE("season holds two reviewers' marks against each other") {
    const TemporaryFolder folder;
    std::filesystem::copy_file(kSamples + "/pier-nine.meet", folder / "second.meet");
    const std::string files = kMeet + " '" + (folder / "second.meet").string() + "'";
    const json agreed = told("season " + files + " --raters 'pier-nine.meet:run 3' 'second.meet:run 3'");
    CHECK(misfits(schema_of_docs("raters.schema.json"), agreed) == std::vector<std::string>{});
    CHECK(agreed["verdicts"]["kappa"] == 1.0);
    CHECK(agreed["marks"]["only_a"] == 0);
    CHECK(has(good("season " + kMeet + " --raters 3 3"), "kappa 1.00"));
    CHECK(run("season " + files + " --raters 'run 3' 'run 3'").code == 3);
    CHECK(has(run("season " + kMeet + " --raters 'run 1' 'run 3'").words, "are not of the same footage"));
}
