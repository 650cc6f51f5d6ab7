// plumbmark athlete-page and plumbmark note as a person runs them, on the sample meet.
#include <catch2/catch.hpp>
#include <filesystem>

#include "cli/program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using plumbmark::test::bytes_of;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::kSamples;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;
namespace fs = std::filesystem;

/// A copy of the sample meet with its clips.
struct Meet {
    TemporaryFolder folder;
    std::string path;

    Meet() {
        fs::copy(kSamples, folder / "samples", fs::copy_options::recursive);
        path = "'" + (folder / "samples/pier-nine.meet").string() + "' ";
    }
};

}  // namespace

TEST_CASE("notes are written listed changed and removed by their number") {
    const Meet meet;
    const std::string note = "note " + meet.path + "--run 'run 4' ";
    CHECK(good(note) == "There are no notes on this run.\n");
    CHECK(good(note + "--clip 'camera A' --frame 152 --text 'Look where the foot lands.' --still") ==
          "note 1: camera A, f 152, 0:02.535, with its picture: Look where the foot lands.\n");
    good(note + "--clip 'camera A' --frame 40 --text 'Quick.'");
    const std::string first = "note 2: camera A, f 40, 0:00.667: Quick.\n";
    CHECK(good(note + "--list") ==
          first + "note 1: camera A, f 152, 0:02.535, with its picture: Look where the foot lands.\n");
    CHECK(good(note + "--change 1 --text 'Look up.' --no-still") ==
          first + "note 1: camera A, f 152, 0:02.535: Look up.\n");
    CHECK(good(note + "--change 1 --still") ==
          first + "note 1: camera A, f 152, 0:02.535, with its picture: Look up.\n");
    CHECK(good(note + "--remove 1") == first);
    // Of another run there are none, and none can be taken away by a number of this one.
    CHECK(good("note " + meet.path + "--run 'run 1'") == "There are no notes on this run.\n");
    CHECK(run("note " + meet.path + "--run 'run 1' --remove 2").code == 4);
    CHECK(good(note) == first);
}

TEST_CASE("a note that cannot be is refused with its code and leaves none") {
    const Meet meet;
    const std::string note = "note " + meet.path + "--run 'run 4' ";
    CHECK(run(note + "--frame 3 --text x").code == 4);
    CHECK(has(run(note + "--clip 'camera A' --frame 755 --text x").words, "The clip has frames 0 to 754"));
    CHECK(run(note + "--clip 'camera A' --frame 755 --text x").code == 3);
    CHECK(run(note + "--clip 'camera A' --frame 5").code == 3);
    for (const char* wrong : {"--text x", "--still", "--frame -1 --text x", "--remove 1 --text x",
                              "--no-still", "--list --frame 3", "--change 1 --remove 1"})
        CHECK(run(note + wrong).code == 2);
    CHECK(run(note + "--remove 1").code == 4);
    CHECK(good(note) == "There are no notes on this run.\n");
}

TEST_CASE("the page of a run comes as text as a page and as a PDF with the same figures") {
    const Meet meet;
    good("note " + meet.path + "--run 'run 4' --clip 'camera A' --frame 40 --text 'Quick off the start.'");
    const std::string html = (meet.folder / "page.html").string(), pdf = (meet.folder / "page.pdf").string();
    const std::string page = "athlete-page " + meet.path + "--run 'run 4' --against 'run 1' ";
    const std::string text = good(page);
    good(page + "--html '" + html + "' --pdf '" + pdf + "' --paper letter");
    const std::string written = bytes_of(html);
    CHECK(written.starts_with("<!DOCTYPE html>"));
    CHECK(bytes_of(pdf).starts_with("%PDF-"));
    for (const char* words :
         {"run 4, number 41", "Against run 1, number 17, Dunlin", "2.36 to 2.41 s", "Quick off the start.",
          "no difference that these frames can show: bollard hop and hawser swing", "most was won between",
          "right hand on bell plate 0.13 to 0.17 s"}) {
        INFO(words);
        CHECK(has(text, words));
        std::string escaped;
        for (const char c : std::string(words))
            escaped += c == '\'' ? "&#39;" : std::string(1, c);
        CHECK(has(written, escaped));
    }
    CHECK(has(text, "1. camera A, f 40, 0:00.667: Quick off the start.\n"));
}

TEST_CASE("a page that cannot be says why and writes nothing") {
    const Meet meet;
    const std::string out = (meet.folder / "page.html").string();
    const std::string page = "athlete-page " + meet.path + "--html '" + out + "' ";
    CHECK(run(page + "--run 'run 77'").code == 4);
    CHECK(has(run(page + "--run 'run 4' --against 'run 77'").words, "--against: There is no run 'run 77'"));
    CHECK(run(page + "--run 'run 4' --group nobody").code == 4);
    CHECK(run(page + "--run 'run 4' --paper folio").code == 2);
    CHECK_FALSE(fs::exists(out));
    CHECK(run("athlete-page " + meet.path + "--run 4 --html /no/such/folder/page.html").code == 5);
}
