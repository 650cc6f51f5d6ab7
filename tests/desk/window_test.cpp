// The real window on a virtual display, driven by real key and mouse events; what came of it is read from the
// meet file.
#include <sys/wait.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <iterator>

#include "desk/desk.h"
#include "desk/drive.h"
#include "desk/test_meet.h"
#include "review/session.h"

using namespace plumbmark;
using test::can_drive;
using test::drive;
namespace fs = std::filesystem;

// Not a test of its own: the program that the driver opens. Run by name only.
TEST_CASE("the window that the driver opens", "[.][desk-window]") {
    const char* files = std::getenv("PLUMBMARK_DESK_FILE");
    desk::DeskOptions options;
    options.language = "en";
    options.width = 1280;
    options.height = 760;
    options.scale = 1;
    if (files && *files) options.files = {files};
    if (const char* sample = std::getenv("PLUMBMARK_DESK_SAMPLE")) options.sample_meet = sample;
    if (const char* copies = std::getenv("PLUMBMARK_DESK_COPIES")) options.sample_copies = copies;
    options.keys_file = "/dev/null";
    options.remember = false;
    const auto done = desk::open_desk(options);
    INFO((done ? std::string() : done.error().text()));
    CHECK(done);
}

namespace {

std::string many(const std::string& key, int n) {
    std::string line = "key";
    for (int i = 0; i < n; ++i)
        line += " " + key;
    return line + "\n";
}

/// Steps on and waits for each picture, as an eye would; quick taps leave pictures out.
std::string shown_one_by_one(int first, int last) {
    std::string lines;
    for (int frame = first; frame <= last; ++frame)
        lines += "key Right\ntitle f " + std::to_string(frame) + "$\n";
    return lines;
}

struct Marked {
    std::int64_t early, late;
};
Marked bracket(const meet::Mark& mark) {
    REQUIRE(mark.sightings.size() == 1);
    REQUIRE(mark.sightings[0].early);
    REQUIRE(mark.sightings[0].late);
    return {mark.sightings[0].early->number, mark.sightings[0].late->number};
}

}  // namespace

TEST_CASE("marks made with real key presses in the real window stand in the meet file") {
    if (!can_drive()) return;
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 100);
    REQUIRE(clip);
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    const std::string script =
        // Every one of twenty quick taps counts.
        "title f 0$\nmove 20 600\n" + many("Right", 20) + "title f 20$\n" +
        // Surfaces in the book's order: pier deck, bollard, quay deck. The left foot is the hand's first
        // part.
        "key Next Next Next t\n" +
        // Its bracket: early end two frames earlier, late end one later.
        "key comma comma shift+period\n" +
        // A second touch by the right foot ten frames on, taken back again and made again.
        "key 4 shift+Right\ntitle f 30$\nkey t ctrl+z ctrl+shift+z\n" +
        // And one that is undone for good.
        "key Right\ntitle f 31$\nkey t ctrl+z\n" +
        // The left hand leaves the hawser, possibly; the whole athlete past the plane.
        "key 1 Next r p\nkey shift+Next 0 Right\ntitle f 32$\nkey x\n" +
        // The start signal, from its list.
        "key Home\ntitle f 0$\nkey Right\ntitle f 1$\nkey s 1\n" +
        // Watched from 20 to 32: all of these were on the screen, so nothing is asked.
        // The frame is typed and kept in one breath: what comes after a letter waits for it.
        "key ctrl+g 2 0 Return\ntitle f 20$\nkey w\n" + shown_one_by_one(21, 32) + "key w\n" +
        // Over frames that nobody saw it is asked first: no, then yes.
        "key End\ntitle f 99$\nkey w Left\ntitle f 98$\nkey shift+Left shift+Left\ntitle f 78$\nkey w "
        "Escape\n" +
        "key w End\ntitle f 99$\nkey w Return\nkey ctrl+q\nclose\n";
    CHECK(drive(folder.path(), "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'", script) == 0);

    const auto session =
        review::Session::open(meet_file, {.read_only = true, .wake = {}, .clock = {}, .random = {}});
    REQUIRE(session);
    const meet::State& state = (*session)->state();
    std::vector<meet::Mark> marks;
    for (const auto& [id, mark] : state.marks())
        marks.push_back(mark);
    REQUIRE(marks.size() == 5);

    const meet::Mark& left = marks[0];
    CHECK(left.alternatives[0].kind == meet::EventKind::touch);
    CHECK(left.alternatives[0].part == course::Part::left_foot);
    CHECK(left.alternatives[0].surface == "quay_deck");
    CHECK(bracket(left).early == 17);
    CHECK(bracket(left).late == 21);
    CHECK_FALSE(left.possible);

    CHECK(marks[1].alternatives[0].part == course::Part::right_foot);
    CHECK(bracket(marks[1]).early == 29);
    CHECK(bracket(marks[1]).late == 30);

    CHECK(marks[2].alternatives[0].kind == meet::EventKind::release);
    CHECK(marks[2].alternatives[0].part == course::Part::left_hand);
    CHECK(marks[2].alternatives[0].surface == "hawser");
    CHECK(marks[2].possible);

    CHECK(marks[3].alternatives[0].kind == meet::EventKind::cross);
    CHECK(marks[3].alternatives[0].part == std::nullopt);
    CHECK(marks[3].alternatives[0].plane == "quay_front");
    CHECK(bracket(marks[3]).late == 32);

    CHECK(marks[4].alternatives[0].kind == meet::EventKind::signal);
    CHECK(marks[4].alternatives[0].signal == ruling::SignalKind::start_given);
    CHECK(bracket(marks[4]).late == 1);

    std::vector<meet::WatchedSpan> spans;
    for (const auto& [id, span] : state.watched())
        spans.push_back(span);
    REQUIRE(spans.size() == 2);
    CHECK(spans[0].from.number == 20);
    CHECK(spans[0].to.number == 32);
    CHECK(spans[0].scope.whole_athlete);
    CHECK(spans[1].from.number == 78);
    CHECK(spans[1].to.number == 99);
}

TEST_CASE("a surface is chosen by clicking it, and where was clicked is kept with the touch") {
    if (!can_drive()) return;
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 30);
    REQUIRE(clip);
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    // A moving test pattern is no scene that a drawing could follow: it stays where it was drawn (Ctrl F).
    // The picture is fitted into 1280 - 352 by 760 - 40 - 32 - 276 pixels; its outline covers the left lower
    // part.
    const std::string script =
        "title f 0$\nkey ctrl+f Right\ntitle f 1$\nmove 360 300\npause 1\nclick 1\npause 2\nkey t\n"
        "move 400 200\nclick 4\nclick 4\npause 1.5\nkey k ctrl+q\nclose\n";
    CHECK(drive(folder.path(), "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'", script) == 0);
    const auto session =
        review::Session::open(meet_file, {.read_only = true, .wake = {}, .clock = {}, .random = {}});
    REQUIRE(session);
    REQUIRE((*session)->state().marks().size() == 1);
    const meet::Mark& mark = (*session)->state().marks().begin()->second;
    CHECK(mark.alternatives[0].surface == "quay_deck");
    REQUIRE(mark.spot);
    CHECK((*mark.spot)[0] > 80);
    CHECK((*mark.spot)[0] < 320);
    CHECK((*mark.spot)[1] > 200);
    CHECK((*mark.spot)[1] < 330);
}

TEST_CASE("a surface's outline is drawn with keys alone") {
    if (!can_drive()) return;
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 10);
    REQUIRE(clip);
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    // 'hawser' is narrowed to in the list; three points from the middle of the picture, then the outline is
    // ended and kept.
    const std::string script =
        "title f 0$\nmove 20 600\npause 1.5\nkey d\npause 1.5\ntype hawser\nkey Return\npause 1.5\nkey "
        "Return\n" +
        many("shift+Right", 5) + "key Return\n" + many("shift+Down", 6) +
        "key Return Return Return\npause 1.5\nkey ctrl+q\nclose\n";
    CHECK(drive(folder.path(), "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'", script) == 0);
    const auto session =
        review::Session::open(meet_file, {.read_only = true, .wake = {}, .clock = {}, .random = {}});
    REQUIRE(session);
    const auto& drawings = (*session)->state().drawings();
    const auto found = std::find_if(drawings.begin(), drawings.end(),
                                    [](const auto& d) { return d.second.key == "hawser"; });
    REQUIRE(found != drawings.end());
    const auto& points = found->second.points;
    REQUIRE(points.size() == 3);
    CHECK(points[0] == std::array<double, 2>{320, 180});
    CHECK(points[1] == std::array<double, 2>{370, 180});
    CHECK(points[2] == std::array<double, 2>{370, 240});
}

TEST_CASE("the empty desk opens a copy of the sample meet on Enter, never the sample itself") {
    if (!can_drive()) return;
    const test::TemporaryFolder folder, copies;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 10);
    REQUIRE(clip);
    const fs::path sample = test::make_meet(folder.path(), *clip);
    const std::string script =
        "title ^Plumbmark$\nkey Return\ntitle ^trial.meet .* f 0$\nkey Right\ntitle f 1$\n"
        "key Next t ctrl+q\nclose\n";
    CHECK(drive(folder.path(),
                "PLUMBMARK_DESK_SAMPLE='" + sample.string() + "' PLUMBMARK_DESK_COPIES='" +
                    copies.path().string() + "'",
                script) == 0);
    const review::SessionOptions reading{.read_only = true, .wake = {}, .clock = {}, .random = {}};
    const auto original = review::Session::open(sample, reading);
    REQUIRE(original);
    CHECK((*original)->state().marks().empty());
    const auto copy = review::Session::open(copies.path() / "trial.meet", reading);
    REQUIRE(copy);
    CHECK((*copy)->state().marks().size() == 1);
}

TEST_CASE("without a display the window says so and what to do") {
    const std::string self = fs::read_symlink("/proc/self/exe").string();
    const test::TemporaryFolder folder;
    const std::string log = (folder.path() / "log.txt").string();
    const int status = std::system(("env -u DISPLAY -u WAYLAND_DISPLAY ASAN_OPTIONS=detect_leaks=0 '" + self +
                                    "' '[desk-window]' > '" + log + "' 2>&1")
                                       .c_str());
    CHECK(WEXITSTATUS(status) != 0);
    std::ifstream file(log);
    std::string text((std::istreambuf_iterator<char>(file)), {});
    for (char& c : text)
        if (c == '\n') c = ' ';
    CHECK(text.find("No window can be opened") != std::string::npos);
    CHECK(text.find("plumbmark rule") != std::string::npos);
}
