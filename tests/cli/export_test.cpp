// What leaves a meet from the command line: marks for other programs, clips and stills.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/running_program.h"
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
    const std::string vtt = good("marks " + kMeet + "--run 'run 4' --vtt --clip 'camera A'");
    std::size_t rows = 0, on_a = 0;
    for (const auto& mark : json["marks"]) {
        if (mark["kind"] != "event") {
            ++rows;
            on_a += mark.contains("at") ? mark["at"]["clip"] == 0 : mark["span"]["clip"] == 0;
            continue;
        }
        rows += mark["sightings"].size();
        for (const auto& seen : mark["sightings"])
            on_a += seen["clip"] == 0;
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
    CHECK(cues == on_a);
    CHECK(on_a > 0);
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

namespace {

std::vector<std::string> names_in(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& at : fs::directory_iterator(folder))
        names.push_back(at.path().filename().string());
    return names;
}

/// A copy of the sample meet, and an empty folder for what is made.
struct Meet {
    TemporaryFolder folder;
    std::string path;

    Meet() {
        fs::copy(kSamples, folder / "samples", fs::copy_options::recursive);
        path = "'" + (folder / "samples/pier-nine.meet").string() + "' ";
        fs::create_directory(folder / "out");
    }
    std::string out(const std::string& name) const { return (folder / "out" / name).string(); }
};

}  // namespace

TEST_CASE("a clip of a few frames goes out at a quarter of its speed and a still beside it") {
    const Meet meet;
    const std::string clip = meet.out("swing.mp4");
    const auto made =
        run("export " + meet.path + "--run 'run 4' --clip 'camera A' --frames 210..214 --speed 1/4 --out '" +
            clip + "'");
    INFO(made.words);
    REQUIRE(made.code == 0);
    CHECK(has(made.words, clip + "\n"));
    CHECK(has(made.words, "f 210 to 214 of camera A, 5 frames, H.264 in MP4, 1/4 speed\n"));
    CHECK(has(made.words, "A program misses some faces: look at the pictures before giving them out."));
    const auto written = nlohmann::json::parse(good("frames '" + clip + "' --json"));
    const auto source = nlohmann::json::parse(good("frames '" + kSamples + "/run-4-a.mp4' --json"));
    REQUIRE(written["frame_count"] == 5);
    for (int n = 0; n < 5; ++n) {
        const double apart = source["frames"][210 + n]["seconds"].get<double>() -
                             source["frames"][210]["seconds"].get<double>();
        CHECK(written["frames"][n]["seconds"].get<double>() == Approx(4 * apart).margin(1e-9));
    }
    CHECK(written["width"] == source["width"]);
    CHECK(written["height"] > source["height"]);
    good("export " + meet.path + "--run 'run 4' --clip 'camera A' --frames 212 --plain --out '" +
         meet.out("f.PNG") + "'");
    const auto size = run_line("ffprobe -v error -show_entries stream=codec_name,width,height -of csv=p=0 '" +
                               meet.out("f.PNG") + "'");
    CHECK(size.words == "png," + source["width"].dump() + "," + source["height"].dump() + "\n");
    CHECK(names_in(meet.folder / "out").size() == 2);
}

TEST_CASE("an export that cannot be is refused with its code and leaves no file") {
    const Meet meet;
    const std::string run_4 = "export " + meet.path + "--run 'run 4' --clip 'camera A' ";
    const std::string to = " --out '" + meet.out("clip.mp4") + "'";
    CHECK(run("export " + meet.path).code == 2);
    CHECK(run(run_4 + "--frames 1..2 --speed 1/3" + to).code == 2);
    CHECK(run(run_4 + to).code == 3);
    CHECK(run(run_4 + "--frames 2..1" + to).code == 3);
    CHECK(run(run_4 + "--frames 1..999999" + to).code == 3);
    CHECK(run(run_4 + "--frames 1..2 --out '" + meet.out("still.png") + "'").code == 3);
    CHECK(run(run_4 + "--frames 1..2 --out '" + meet.out("clip.avi") + "'").code == 3);
    CHECK(run(run_4 + "--frames 1..2 --sound --speed 1/2" + to).code == 3);
    CHECK(run(run_4 + "--station nowhere" + to).code == 4);
    CHECK(run("export " + meet.path + "--run 'run 4' --clip 'camera Z' --frames 1..2" + to).code == 4);
    CHECK(run(run_4 + "--frames 1..2 --out /no/such/folder/clip.mp4").code == 5);
    const std::string before = bytes_of(meet.folder / "samples/run-4-a.mp4");
    CHECK(run(run_4 + "--frames 1..2 --out '" + (meet.folder / "samples/run-4-a.mp4").string() + "'").code ==
          3);
    CHECK(bytes_of(meet.folder / "samples/run-4-a.mp4") == before);
    CHECK(names_in(meet.folder / "out").empty());
    CHECK(names_in(meet.folder / "samples").size() == names_in(kSamples).size());
}

TEST_CASE("Ctrl C while a clip is written ends with the code of what was cancelled and leaves no file") {
    const Meet meet;
    plumbmark::test::RunningProgram program(
        {plumbmark::test::kProgram, "export", (meet.folder / "samples/pier-nine.meet").string(), "--run",
         "run 4", "--clip", "camera A", "--frames", "0..200", "--out", meet.out("clip.mp4")},
        meet.folder / "says");
    REQUIRE(program.wait_until_it_catches(SIGINT));
    program.send(SIGINT);
    CHECK(program.wait() == 9);
    CHECK(has(bytes_of(meet.folder / "says"), "plumbmark: cancelled; nothing was written\n"));
    CHECK(names_in(meet.folder / "out").empty());
}
