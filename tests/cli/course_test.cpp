// Runs under a division, a lane and a revision of the course book, by the built program.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using plumbmark::test::Answer;
using plumbmark::test::bytes_of;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
using plumbmark::test::write_bytes;

bool has(const Answer& answer, const std::string& words) {
    INFO(answer.words);
    return answer.words.find(words) != std::string::npos;
}

std::string sample_book(const std::string& revision, const std::string& more = "") {
    std::string text = bytes_of(kSamples + "/pier-nine.course");
    text.replace(text.find("revision = \"2\""), 14, "revision = \"" + revision + "\"");
    return text + more;
}

const std::string kDivisionAndLanes =
    "\n[[division]]\nkey = \"under_12\"\nname = \"Under 12\"\nleft_out = \"gantry_rungs\"\n"
    "[[lane]]\nkey = \"landside\"\nname = \"landside lane\"\n"
    "[[lane]]\nkey = \"seaside\"\nname = \"seaside lane\"\nin_place = { hawser = \"hawser_b\" }\n";

/// A meet of the sample's second run, under a book with a division and lanes.
struct Meet {
    TemporaryFolder folder;
    std::string path = "'" + (folder / "trial.meet").string() + "'";
    std::string book = "'" + (folder / "trial.course").string() + "'";

    explicit Meet(const std::string& more_options = "") {
        write_book("3");
        const fs::path marks = folder / "marks.json";
        REQUIRE(run("marks '" + kSamples + "/pier-nine.meet' --run 2 --out '" + marks.string() + "'").code ==
                0);
        const Answer made =
            run("new " + path + " --name 'Pier Nine Youth Open' --book " + book + " --clip '" + kSamples +
                "/run-2-a.mp4' --marks '" + marks.string() + "'" + more_options);
        INFO(made.words);
        REQUIRE(made.code == 0);
    }
    void write_book(const std::string& revision, const std::string& hawser = "hawser_b") const {
        std::string text = sample_book(revision, kDivisionAndLanes);
        text.replace(text.find("hawser = \"hawser\"\n"), 0, hawser + " = \"seaside hawser\"\n");
        write_bytes(folder / "trial.course", text);
    }
};

}  // namespace

TEST_CASE("a run is put into a division and a lane, and its ruling names them") {
    const Meet meet;
    CHECK(json::parse(run("rule --json " + meet.path).words)["stations"].size() == 3);
    const Answer put = run("course " + meet.path + " --division under_12 --lane landside");
    CHECK(put.code == 0);
    CHECK(has(put,
              "run 1: Pier Nine Youth Open, harbour hall, revision 3 (trial.course), division under_12, "
              "lane landside\n"));
    const json ruled = json::parse(run("rule --json " + meet.path).words);
    CHECK(ruled["stations"].size() == 2);
    CHECK(ruled["course"]["division"] == "Under 12");
    CHECK(ruled["course"]["lane"] == "landside lane");
    CHECK(has(run("rule " + meet.path),
              "Course book: Pier Nine Youth Open, harbour hall, revision 3, division Under 12, lane landside "
              "lane\n"));
    CHECK(run("course " + meet.path + " --division ''").code == 0);
    CHECK(json::parse(run("rule --json " + meet.path).words)["course"].contains("division") == false);
    const Answer slip = run("course " + meet.path + " --lane seeside");
    CHECK(slip.code == 4);
    CHECK(has(slip, "no lane 'seeside'; did you mean 'seaside'?"));
    CHECK(run("verify " + meet.path).code == 0);
}

TEST_CASE("in the other lane the same marks are of what is out of play") {
    const Meet meet(" --lane seaside");
    const Answer ruled = run("rule " + meet.path);
    CHECK(ruled.code == 0);
    CHECK(has(ruled, "hawser"));
    CHECK(has(ruled, "which is out of play"));
}

TEST_CASE("a further run may lie on the clip of another one, and a refused one leaves nothing") {
    const Meet meet;
    const std::string clip = " --clip '" + kSamples + "/run-2-a.mp4'";
    const Answer added = run("add-run " + meet.path + clip + " --lane seaside");
    CHECK(added.code == 0);
    CHECK(has(added, "run 2\n"));
    const json ruled = json::parse(run("rule --json --run 'run 2' " + meet.path).words);
    CHECK(ruled["course"]["lane"] == "seaside lane");
    CHECK(ruled["marks"].empty());
    CHECK_FALSE(json::parse(run("rule --json --run 'run 1' " + meet.path).words)["marks"].empty());
    const Answer verified = run("verify " + meet.path);
    CHECK(verified.code == 0);
    CHECK(verified.words.find("camera A") == verified.words.rfind("camera A"));  // one clip, not two
    CHECK(run("add-run " + meet.path + clip + " --run 'run 1'").code == 3);
    CHECK(run("add-run " + meet.path + clip + " --marks nowhere.json").code == 4);
    CHECK(run("add-run " + meet.path + clip + " --lane middle").code == 4);
    CHECK_FALSE(has(run("course " + meet.path), "run 3"));
}

TEST_CASE("a new revision is taken in, kept from some runs, or refused with what it lacks") {
    const Meet meet;
    REQUIRE(run("add-run " + meet.path + " --clip '" + kSamples + "/run-2-a.mp4' --lane seaside").code == 0);
    const std::string before = bytes_of(meet.folder / "trial.meet");
    const Answer same = run("course " + meet.path);
    CHECK(has(same, "revision 3 (trial.course): run 1 and run 2\n"));
    CHECK(bytes_of(meet.folder / "trial.meet") == before);  // asking changes nothing
    meet.write_book("3", "line_b");
    // Another text of the same revision; and one that does not read, since the lane names what is not there.
    CHECK(run("course " + meet.path + " " + meet.book).code == 3);
    meet.write_book("4");
    const Answer taken = run("course " + meet.path + " " + meet.book + " --keep 1");
    CHECK(taken.code == 0);
    CHECK(has(taken, "revision 3 (trial.course): run 1\n"));
    CHECK(has(taken, "revision 4 (trial.course): run 2\n"));
    write_bytes(meet.folder / "bare.course", sample_book("5"));
    const std::string bare = " '" + (meet.folder / "bare.course").string() + "'";
    const Answer refused = run("course " + meet.path + bare);
    CHECK(refused.code == 3);
    CHECK(has(refused, "run 2 names the lane 'seaside'"));
    CHECK(run("course " + meet.path + bare + " --keep 'run 2'").code == 0);
    CHECK(run("course " + meet.path + bare + " --keep 'run 9'").code == 4);
    CHECK(run("verify " + meet.path).code == 0);
}

TEST_CASE("what a changed book would change is listed, and the meet stays as it was to the byte") {
    const Meet meet;
    const std::string before = bytes_of(meet.folder / "trial.meet");
    std::string text = bytes_of(meet.folder / "trial.course");
    text.replace(text.find("floor = { name = \"floor\", out_of_play = true }"), 46, "floor = \"floor\"");
    const std::size_t item = text.find("{ surface = \"hawser\", parts = \"hands\" }");
    REQUIRE(item != std::string::npos);
    text.insert(item, "{ surface = \"floor\", parts = \"feet\" }, ");
    write_bytes(meet.folder / "soft.course", text);
    const std::string soft = " '" + (meet.folder / "soft.course").string() + "'";
    const Answer words = run("what-if " + meet.path + soft);
    CHECK(words.code == 0);
    CHECK(has(words, "hawser swing: FAIL, and "));
    CHECK(has(words, "which is out of play"));
    const json listed = json::parse(run("what-if --json " + meet.path + soft).words);
    CHECK(listed["form"] == "plumbmark what-if");
    CHECK(listed["runs"][0]["change"] == "changed");
    CHECK(has(run("what-if " + meet.path + " --set drift=50"), "Nothing changes in 1 run.\n"));
    CHECK(run("what-if " + meet.path).code == 2);
    CHECK(run("what-if " + meet.path + " --set drift").code == 3);
    CHECK(run("what-if " + meet.path + soft + " --run 7").code == 4);
    CHECK(run("what-if " + meet.path + " nowhere.course").code == 4);
    CHECK(bytes_of(meet.folder / "trial.meet") == before);
}
