// plumbmark drawings copy, by the built program, between two clips that are rendered with one known motion of
// the camera.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "bench_follow/shaken_clip.h"
#include "cli/program.h"
#include "support/temporary_folder.h"

namespace {

using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
namespace shaken_clip = plumbmark::shaken_clip;

}  // namespace

TEST_CASE("drawings are copied to the other run's clip by name and lie where the scene is") {
    const TemporaryFolder folder;
    if (!shaken_clip::make(folder.path())) return;
    REQUIRE(shaken_clip::make(folder.path(), "second.mp4", 24));
    std::ofstream(folder / "marks.json") << R"({"format": "plumbmark-marks/1", "run": "run 1",
        "clips": [{"key": "a", "file": "shaken.mp4"}],
        "drawings": [{"clip": "a", "surface": "quay_deck", "still": 5,
                      "polygon": [[200, 200], [300, 210], [290, 280], [205, 270]]}]})";
    const std::string meet = "'" + (folder / "open.meet").string() + "'";
    const auto file = [&](const char* name) { return "'" + (folder / name).string() + "'"; };
    good("new " + meet + " --name 'Pier Nine Youth Open' --run 'run 1' --clip " + file("shaken.mp4") +
         " --marks " + file("marks.json"));
    good("add-run " + meet + " --run 'run 2' --clip " + file("second.mp4"));
    const std::string copy = "drawings copy " + meet +
                             " --run 'run 2' --from-run 'run 1' "
                             "--from shaken.mp4 --to second.mp4 --frame ";
    // The lens is covered there.
    const auto refused = run(copy + "44");
    CHECK(refused.code == 7);
    CHECK(has(refused.words, "The drawings do not fit this frame"));
    CHECK(has(good(copy + "80"), "1 drawing taken over at f 80, ±"));
    const auto marks = nlohmann::json::parse(good("marks " + meet + " --run 'run 2'"));
    REQUIRE(marks["drawings"].size() == 1);
    CHECK(marks["drawings"][0]["still"] == 80);
    const auto truth = *shaken_clip::truth(5, 80)({290, 280});
    CHECK(marks["drawings"][0]["polygon"][2][0] == Approx(truth[0]).margin(1.5));
    CHECK(marks["drawings"][0]["polygon"][2][1] == Approx(truth[1]).margin(1.5));
    good("verify " + meet);

    CHECK(run(copy + "5000").code == 3);
    CHECK(run("drawings copy " + meet + " --from shaken.mp4 --to shaken.mp4").code == 3);
    CHECK(run("drawings copy " + meet + " --from 'camera Z' --to shaken.mp4").code == 4);
    CHECK(run("drawings copy " + meet +
              " --run 'run 1' --from-run 'run 2' --from shaken.mp4 "
              "--to shaken.mp4")
              .code == 4);
}
