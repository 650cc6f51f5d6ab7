// What leaves a meet from the command line: marks for other programs.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::run_line;
using plumbmark::test::TemporaryFolder;
namespace fs = std::filesystem;

const std::string kMeet = "'" + kSamples + "/pier-nine.meet' ";

}  // namespace

TEST_CASE("marks go out as a table as JSON and as captions and the three agree") {
    const TemporaryFolder folder;
    const std::string csv = (folder / "marks.csv").string();
    good("marks " + kMeet + "--run 'run 4' --csv --out '" + csv + "'");
    const auto json = nlohmann::json::parse(good("marks " + kMeet + "--run 'run 4' --json"));
    const std::string vtt = good("marks " + kMeet + "--run 'run 4' --vtt --clip 'camera B'");
    std::size_t rows = 0, on_b = 0;
    for (const auto& mark : json["marks"]) {
        if (mark["kind"] != "event") {
            ++rows;
            on_b += mark.contains("at") ? mark["at"]["clip"] == 1 : mark["span"]["clip"] == 1;
            continue;
        }
        rows += mark["sightings"].size();
        for (const auto& seen : mark["sightings"])
            on_b += seen["clip"] == 1;
    }
    // Python's csv module and json reader, as readers that are not ours.
    const auto read =
        run_line("python3 -c \"import csv,sys; r=list(csv.DictReader(open('" + csv +
                 "',newline='',encoding='utf-8'))); print(len(r), len(set(map(len, r))), r[0]['run'])\"");
    CHECK(read.words == std::to_string(rows) + " 1 run 4\n");
    CHECK(bytes_of(csv).ends_with("\r\n"));
    std::size_t cues = 0;
    for (std::size_t at = 0; (at = vtt.find(" --> ", at)) != std::string::npos; ++at)
        ++cues;
    CHECK(cues == on_b);
    CHECK(on_b > 0);
}

TEST_CASE("marks for other programs need no clip and say which clip is wanted for captions") {
    const TemporaryFolder folder;
    fs::copy_file(kSamples + "/pier-nine.meet", folder / "alone.meet");
    const std::string alone = "marks '" + (folder / "alone.meet").string() + "' --run 'run 4' ";
    CHECK(good(alone + "--csv") == good("marks " + kMeet + "--run 'run 4' --csv"));
    const auto unsaid = run(alone + "--vtt");
    CHECK(unsaid.code == 4);
    CHECK(has(unsaid.words, "Say which clip with --clip; this run has 'camera A' and 'camera B'."));
    CHECK(run(alone + "--csv --json").code == 2);
    CHECK(run(alone + "--csv --take-in x").code == 2);
    CHECK(run(alone + "--csv --clip 'camera A'").code == 2);
    CHECK(run(alone + "--json --out /no/such/folder/marks.json").code == 5);
}
