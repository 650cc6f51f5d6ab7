// The built program as a person uses it: what it prints and how it ends.
#include "cli/program.h"

#include <sys/resource.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "support/agreed_meet.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using plumbmark::test::Answer;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;

void write(const fs::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

}  // namespace

TEST_CASE("every subcommand has help and ends with 0") {
    for (const char* name :
         {"", "frames", "check", "rule", "sheet", "new", "add-run", "marks", "course", "verify", "desk"}) {
        const Answer answer = run(std::string(name) + " --help");
        INFO(name << ": " << answer.words);
        CHECK(answer.code == 0);
        CHECK(answer.words.find("Usage") != std::string::npos);
    }
}

TEST_CASE("wrong options end with 2") {
    CHECK(run("frames").code == 2);
    CHECK(run("rule --nonsense").code == 2);
    CHECK(run("frames --order sideways clip.mp4").code == 2);
}

TEST_CASE("errors name the place and end with the documented code") {
    TemporaryFolder folder;
    CHECK(run("frames '" + (folder / "none.mp4").string() + "'").code == 4);
    write(folder / "text.mp4", "this is no clip");
    CHECK(run("frames '" + (folder / "text.mp4").string() + "'").code == 3);
    write(folder / "text.meet", "this is no meet file");
    const Answer meet = run("rule '" + (folder / "text.meet").string() + "'");
    CHECK(meet.code == 6);
    CHECK(meet.words.find("text.meet") != std::string::npos);
    const Answer missing = run("rule '" + kSamples + "/pier-nine.meet' --run 99");
    CHECK(missing.code == 4);
    CHECK(missing.words.find("'run 1'") != std::string::npos);
}

TEST_CASE("the frame table is the same in every order of reading") {
    const std::string clip = "'" + kSamples + "/run-2-a.mp4'";
    const json forward = json::parse(run("frames --json --hash " + clip).words);
    CHECK(forward["frame_count"] == forward["frames"].size());
    CHECK(forward["frames"][0]["number"] == 0);
    CHECK(forward["frames"][0]["md5"].get<std::string>().size() == 32);
    CHECK(forward["quarter_turns"] == 1);
    const json backward = json::parse(run("frames --json --hash --order backward " + clip).words);
    const json random = json::parse(run("frames --json --hash --order random --seed 7 " + clip).words);
    CHECK(forward["frames"] == backward["frames"]);
    CHECK(forward["frames"] == random["frames"]);
    CHECK(run("frames --hash --order backward " + clip).words == run("frames --hash " + clip).words);
}

TEST_CASE("what the file says of the rate at which it was recorded is listed") {
    TemporaryFolder folder;
    const std::string clip = (folder / "slow.mp4").string();
    REQUIRE(
        std::system(
            ("ffmpeg -v error -nostdin -f lavfi -i testsrc2=s=64x48:r=30 -frames:v 5 -c:v libx264 -movflags "
             "use_metadata_tags -metadata com.android.capture.fps=240 '" +
             clip + "'")
                .c_str()) == 0);
    CHECK(json::parse(run("frames --json '" + clip + "'").words)["recorded_rate"] == "240/1");
    CHECK(run("frames '" + clip + "'").words.find("recorded at 240/1 pictures a second") !=
          std::string::npos);
    CHECK(json::parse(run("frames --json '" + kSamples + "/run-2-a.mp4'").words)["recorded_rate"].is_null());
}

TEST_CASE("a damaged clip is listed with its bad stretches, and the frames that do not decode are named") {
    TemporaryFolder folder;
    std::ifstream file(kSamples + "/run-2-a.mp4", std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(file), {}};
    CHECK(json::parse(run("frames --json '" + kSamples + "/run-2-a.mp4'").words)["bad_stretches"].empty());
    // The index of this clip stands behind its pictures, so they can be overwritten and not cut off.
    const std::size_t middle = bytes.size() / 2;
    std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(middle),
              bytes.begin() + static_cast<std::ptrdiff_t>(middle + 20000), '\xFF');
    write(folder / "scratched.mp4", bytes);
    const Answer answer = run("frames --json '" + (folder / "scratched.mp4").string() + "'");
    CHECK(answer.code == 0);
    const json listed = json::parse(answer.words);
    REQUIRE_FALSE(listed["bad_stretches"].empty());
    const json first = listed["bad_stretches"][0];
    CHECK(first["what"] == "the data of this picture do not have the form that they should");
    CHECK(first["first"].get<int>() > 0);
    CHECK(first["lean_until"].get<int>() >= first["last"].get<int>());
    CHECK(first["from_ns"].get<std::int64_t>() < first["until_ns"].get<std::int64_t>());
    const std::string table = run("frames '" + (folder / "scratched.mp4").string() + "'").words;
    CHECK(table.find("\nbad: ") != std::string::npos);
}

TEST_CASE(
    "pictures that declare an impossible size are named one by one, at no cost in memory, and the end is 6") {
    TemporaryFolder folder;
    const std::string clip = (folder / "giant.mkv").string();
    const std::string made =
        "ffmpeg -v error -nostdin -f lavfi -i testsrc2=s=64x48:r=25 -frames:v 5 -c:v mjpeg '";
    REQUIRE(std::system((made + clip + "'").c_str()) == 0);
    std::ifstream file(clip, std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(file), {}};
    // The frame header's height and width (ITU-T T.81, B.2.2), in all pictures but the first.
    const std::string header("\xFF\xC0\x00\x11\x08", 5);
    int found = 0;
    for (std::size_t at = bytes.find(header); at != std::string::npos; at = bytes.find(header, at + 1)) {
        if (found++ > 0) bytes.replace(at + 5, 4, "\xFF\xF0\xFF\xF0");
    }
    REQUIRE(found == 5);
    write(clip, bytes);
    const Answer answer = run("frames --hash '" + clip + "'");
    CHECK(answer.code == 6);
    CHECK(std::count(answer.words.begin(), answer.words.end(), '\n') >= 5);
    std::size_t rows = 0;
    for (std::size_t at = 0; (at = answer.words.find("does not decode", at)) != std::string::npos; ++at)
        ++rows;
    CHECK(rows == 4);
    rusage used{};
    REQUIRE(getrusage(RUSAGE_CHILDREN, &used) == 0);
    CHECK(used.ru_maxrss < 600 * 1024);  // KiB; one such picture would take 6 GiB
    const std::string words = run("frames --json --hash '" + clip + "'").words;
    const json listed = json::parse(words.substr(words.find('{')));  // what is wrong stands before it
    CHECK(listed["frames"][0]["md5"].get<std::string>().size() == 32);
    CHECK(listed["frames"][1].contains("error"));
}

TEST_CASE("a course book with a slip of the pen is refused with its place, a good one passes") {
    TemporaryFolder folder;
    CHECK(run("check '" + kSamples + "/pier-nine.course'").code == 0);
    std::ifstream file(kSamples + "/pier-nine.course");
    std::string text{std::istreambuf_iterator<char>(file), {}};
    text.replace(text.find("\"coil_deck\""), 11, "\"coil_dekc\"");
    write(folder / "slip.course", text);
    const Answer answer = run("check '" + (folder / "slip.course").string() + "'");
    CHECK(answer.code == 1);
    CHECK(answer.words.find("slip.course:") != std::string::npos);
    CHECK(answer.words.find("coil_deck") != std::string::npos);
}

TEST_CASE("a ruling is told in sentences and as JSON") {
    const std::string meet = "'" + kSamples + "/pier-nine.meet'";
    const Answer words = run("rule " + meet + " --run 'run 3'");
    CHECK(words.code == 0);
    CHECK(words.words.find("which is for hands only") != std::string::npos);
    const json all = json::parse(run("rule --all --json " + meet).words);
    // Five runs with footage, and eight that have calls from the floor alone.
    REQUIRE(all.size() == 13);
}

TEST_CASE("the ruling sheet is one page that needs nothing but itself") {
    TemporaryFolder folder;
    const fs::path sheet = folder / "sheet.html";
    CHECK(run("sheet '" + plumbmark::test::agreed_samples(folder / "samples").string() + "' --run 4 --out '" +
              sheet.string() + "'")
              .code == 0);
    std::ifstream file(sheet);
    const std::string html{std::istreambuf_iterator<char>(file), {}};
    CHECK(html.find("NOT SHOWN") != std::string::npos);
    CHECK(html.find("data:image/jpeg;base64,") != std::string::npos);
    CHECK(html.find("src=\"http") == std::string::npos);
}

TEST_CASE("a sheet is printed as a PDF by its name or by --pdf, the same bytes each time") {
    TemporaryFolder folder;
    const std::string sheet =
        "sheet '" + plumbmark::test::agreed_samples(folder / "samples").string() + "' --run 4 ";
    const auto bytes = [](const fs::path& path) {
        std::ifstream file(path, std::ios::binary);
        return std::string{std::istreambuf_iterator<char>(file), {}};
    };
    CHECK(run(sheet + "--out '" + (folder / "a.PDF").string() + "'").code == 0);
    CHECK(run(sheet + "--pdf '" + (folder / "b").string() + "' --out '" + (folder / "c.html").string() + "'")
              .code == 0);
    REQUIRE(bytes(folder / "a.PDF").substr(0, 5) == "%PDF-");
    CHECK(bytes(folder / "a.PDF") == bytes(folder / "b"));
    CHECK(bytes(folder / "c.html").substr(0, 9) == "<!DOCTYPE");
    CHECK(run(sheet + "--paper letter --out '" + (folder / "d.pdf").string() + "'").code == 0);
    CHECK(bytes(folder / "d.pdf") != bytes(folder / "b"));
    CHECK(run(sheet + "--paper a3 --out '" + (folder / "e.pdf").string() + "'").code == 2);
    CHECK_FALSE(fs::exists(folder / "e.pdf"));
    CHECK(run(sheet + "--out '" + (folder / "none/f.pdf").string() + "'").code == 5);
}

TEST_CASE("a sheet says that faces were searched for, and of whom they may be shown") {
    TemporaryFolder folder;
    const fs::path sheet = folder / "sheet.html";
    REQUIRE(run("sheet '" + kSamples + "/pier-nine.meet' --run 4 --out '" + sheet.string() + "'").code == 0);
    std::ifstream file(sheet);
    const std::string html{std::istreambuf_iterator<char>(file), {}};
    CHECK(html.find("Faces in these pictures were searched for by program") != std::string::npos);
}

TEST_CASE("a briefing is made from a course book and from a meet, as text, JSON, page and PDF") {
    TemporaryFolder folder;
    const std::string book = "briefing '" + kSamples + "/pier-nine.course' ";
    const Answer words = run(book);
    CHECK(words.code == 0);
    CHECK(words.words.find("Everything that a station does not name is out of play") != std::string::npos);
    CHECK(words.words.find("With hands only: the hawser.") != std::string::npos);
    CHECK(words.words.find("Appeals") == std::string::npos);
    const Answer meet = run("briefing '" + kSamples + "/pier-nine.meet' --json");
    REQUIRE(meet.code == 0);
    CHECK_FALSE(json::parse(meet.words)["appeals"].empty());
    CHECK(json::parse(meet.words)["meet"]["name"] == "Pier Nine Youth Open");
    CHECK(run(book + "--out '" + (folder / "b.pdf").string() + "'").code == 0);
    CHECK(run(book + "--out '" + (folder / "b.html").string() + "'").code == 0);
    CHECK(fs::file_size(folder / "b.pdf") > 1000);
    CHECK(run(book + "--division nobody").code == 4);
    CHECK(run(book + "--lane nowhere").code == 4);
    CHECK(run("briefing '" + kSamples + "/none.course'").code == 4);
    std::ofstream(folder / "bad.course") << "course = \"x\n";
    CHECK(run("briefing '" + (folder / "bad.course").string() + "'").code == 3);
}

TEST_CASE("a meet made on the command line holds its clip and marks, and its chain verifies") {
    TemporaryFolder folder;
    const std::string meet = "'" + (folder / "trial.meet").string() + "'";
    const fs::path marks = folder / "marks.json";
    REQUIRE(
        run("marks '" + kSamples + "/pier-nine.meet' --run 'run 2' --out '" + marks.string() + "'").code ==
        0);
    const std::string make = "new " + meet + " --name 'Pier Nine Youth Open' --book '" + kSamples +
                             "/pier-nine.course' --clip '" + kSamples + "/run-2-a.mp4' --marks '" +
                             marks.string() + "'";
    CHECK(run(make).code == 0);
    CHECK(run(make).code == 5);  // nothing that is there is overwritten
    CHECK(run("verify " + meet).code == 0);
    const Answer ruled = run("rule " + meet);
    CHECK(ruled.code == 0);
    CHECK(ruled.words.find("hawser swing: FAIL") != std::string::npos);
}

TEST_CASE("verifying names the clips, and reads their files whole when it is asked to") {
    TemporaryFolder folder;
    const fs::path meet = folder / "pier-nine.meet";
    fs::copy_file(kSamples + "/pier-nine.meet", meet);
    const Answer names = run("verify '" + meet.string() + "'");
    CHECK(names.code == 0);
    CHECK(names.words.find("camera A: the SHA-256 of its file is not known yet\n") != std::string::npos);
    // The clips are not beside this copy.
    const Answer alone = run("verify --clips '" + meet.string() + "'");
    CHECK(alone.code == 1);
    CHECK(alone.words.find("camera A: its file cannot be read.") != std::string::npos);
    const Answer beside = run("verify --clips '" + kSamples + "/pier-nine.meet'");
    CHECK(beside.code == 0);
    const std::string before = "the meet does not know the SHA-256 of its file yet; it is ";
    const std::size_t at = beside.words.find(before);
    REQUIRE(at != std::string::npos);
    const std::string sum = beside.words.substr(at + before.size(), 64);
    CHECK(std::system(("sha256sum '" + kSamples + "'/*.mp4 | grep -q ^" + sum).c_str()) == 0);
}

TEST_CASE("the tracked sample meet is untouched by reading it") {
    const auto before = fs::last_write_time(kSamples + "/pier-nine.meet");
    CHECK(run("rule '" + kSamples + "/pier-nine.meet'").code == 0);
    CHECK(run("verify '" + kSamples + "/pier-nine.meet'").code == 0);
    CHECK(fs::last_write_time(kSamples + "/pier-nine.meet") == before);
}
