// The meet's own view in the real window, by real key presses; what came of it is read from the meet file.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "desk/competition_meet.h"
#include "desk/drive.h"
#include "meet/appeals.h"
#include "meet/floor_entry.h"
#include "support/file_bytes.h"
#include "support/test_places.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

/// Opens the file, plays the script from the review of its first run on, and leaves.
void play(const fs::path& folder, const fs::path& meet_file, const std::string& script) {
    CHECK(test::drive(folder, "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'",
                      script + "pause 0.5\nkey ctrl+q\nclose\n") == 0);
}

}  // namespace

TEST_CASE("calls, times, a status and a re-run are entered from the floor with keys alone") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = test::make_competition(folder.path());
    const std::string script =
        "title ^open.meet\nkey F8\ntitle floor entry · 17 · bollard hop$\n"
        // The judge's name, once for all.
        "key j\npause 1\ntype Pim\nkey Return\npause 1\n"
        // Down the column of the first station: Enter goes to the next row.
        "key c Return c Return f Return\ntitle · 9 · bollard hop$\n"
        // To a number, then along the row; the last column takes a time.
        "key 1 7 Return\ntitle · 17 · bollard hop$\nkey Right f Tab\ntitle · 17 · official time$\n"
        "key 1 2 period 5 Return\ntitle · 4 · official time$\n"
        // A time that is none is not taken, and nothing moves; then two watches.
        "key 1 colon 9 9 Return\npause 1\nkey Escape Escape\nkey 3 1 period 2 slash 3 1 period 4 Return\n"
        "title · 21 · official time$\n"
        // Undone and done again; a wrong call taken back.
        "key Up Left\ntitle · 4 · hawser swing$\nkey c ctrl+z ctrl+shift+z\n"
        "key Down Left minus\n"
        // Disqualified with a reason, another did not start.
        "key s\npause 1\nkey 4\npause 1\ntype helped\nkey Return\npause 1\n"
        "key 9\ntitle · 9 · bollard hop$\nkey Return s\npause 1\nkey 2\npause 1\n"
        // A re-run of 17, in a row of its own.
        "key 1 7 Return r\npause 1\nkey Return\ntitle · 17 re-run · bollard hop$\nkey c Right c\n";
    play(folder.path(), meet_file, script);
    const meet::State state = test::state_of(meet_file);
    CHECK(test::floor_of(state) == "17 cc; 4 cc 31.40; 21 -- disqualified: helped; 9 -- did not start");
    CHECK(std::all_of(state.floor_calls().begin(), state.floor_calls().end(),
                      [](const auto& call) { return call.second.judge == "Pim" && call.second.at; }));
    REQUIRE(state.clock_times().size() == 2);
    CHECK(state.clock_times().begin()->second.watches == std::vector{base::Duration{12'500'000'000}});
    CHECK(state.clock_times().rbegin()->second.watches.size() == 2);
    // The first run of 17 keeps its calls.
    const meet::Run* rerun = meet::latest_run(state, {1});
    REQUIRE(rerun != nullptr);
    REQUIRE(rerun->rerun_of.valid());
    CHECK(meet::call_at(state, rerun->rerun_of, "hawser_swing")->call == meet::Call::fail);
}

TEST_CASE("a click puts the cursor into a cell of the floor's table") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = test::make_competition(folder.path());
    // The third row; the pages' chips lie in the bar above.
    play(folder.path(), meet_file,
         "title ^open.meet\nkey F8\ntitle floor entry\npause 1\nmove 40 190\nclick 1\ntitle · 21 · bollard "
         "hop$\nkey c\n"
         // To the cell beside it, and once more on it: the list of what can be done there.
         "move 720 190\nclick 1\ntitle · 21 · hawser swing$\npause 1\nclick 1\npause 1\nkey 2\npause 1\n");
    CHECK(test::floor_of(test::state_of(meet_file)) == "17 --; 4 --; 21 cf; 9 --");
}

TEST_CASE("a meet without athletes takes in divisions and a start list, its columns named by hand") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = test::make_competition(folder.path(), {});
    test::write_bytes(folder / "a-divisions.csv", "key,name,born_from,born_to\nu14,Under 14,2012,2013\n");
    test::write_bytes(folder / "b-start.csv", "Mark;Name;Born\n17;Ż. Łucja;2012\n4;さくら;2013\n");
    const std::string script =
        "title ^open.meet\nkey F8\ntitle the meet$\n"
        // First in the list is the folder above.
        "key Return\npause 1\nkey Return\npause 1\nkey ctrl+l\npause 1\nkey Down Return\n"
        "title start list · b-start.csv$\n"
        // Nothing is entered while no column is the number.
        "key End Return\npause 1\ntitle start list · b-start.csv$\n"
        "key Home Down Return\npause 1\ntype number\nkey Return\npause 1\nkey End Return\n"
        "title floor entry · 17 · bollard hop$\nkey c\n";
    play(folder.path(), meet_file, script);
    const meet::State state = test::state_of(meet_file);
    CHECK(test::floor_of(state) == "17 c-; 4 --");
    REQUIRE(state.athletes().size() == 2);
    CHECK(state.athletes().at({2}).name == "さくら");
    CHECK(state.athletes().at({2}).division == "u14");
    CHECK(state.rounds().at({1}).name == "Final");
}

TEST_CASE("an appeal is lodged, reviewed, decided by the ruling of its run, and the results given out") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path samples = test::source_folder() / "sample_clips";
    for (const auto& entry : fs::directory_iterator(samples))
        fs::copy_file(entry.path(), folder / entry.path().filename().string());
    const fs::path meet_file = folder / "pier-nine.meet";
    const meet::State before = test::state_of(meet_file);
    const auto waiting = meet::waiting_appeals(before);
    REQUIRE(waiting.size() == 2);
    const meet::Appeal oldest = before.appeals().at(waiting.front().appeal);
    const std::string number = std::to_string(oldest.id.value);
    const std::string script =
        "title f [0-9]+\nkey F8\ntitle floor entry\n"
        // The oldest that waits; its run is opened, and the same place is there on coming back.
        "key F6\ntitle appeals · " +
        number + "$\nkey v\ntitle camera .* f [0-9]+$\nkey F8\ntitle appeals · " + number +
        "$\n"
        // Decided: not without a name, and not before its effect is there.
        "key d\ntitle decide appeal " +
        number + "$\nkey End Return\npause 1\ntitle decide appeal " + number +
        "$\nkey Home Return\npause 1\ntype Bea\nkey Return\npause 1\nkey End Return\ntitle appeals · \n"
        // Another one is lodged about number 44.
        "key n\ntitle lodge an appeal$\ntype 44\npause 1\nkey Return\npause 1\nkey Down Return\npause 1\n"
        "key Return\npause 1\ntype Ann\nkey Return\npause 1\nkey End Return\npause 1\n"
        // What stands is announced, with a note.
        "key F7\ntitle standings · all$\nkey a\npause 1\ntype after the appeal\nkey Return\npause 1\nkey "
        "Return\npause 1\n"
        // Official is refused while something is awaited.
        "key o\npause 1\n";
    play(folder.path(), meet_file, script);
    const meet::State state = test::state_of(meet_file);
    const meet::Decision* decision = meet::decision_on(state, oldest.id);
    REQUIRE(decision != nullptr);
    // The truth of the sample clips: with both cameras the swing is clear, and the floor called a fail.
    CHECK(decision->ruling == ruling::Verdict::clear);
    CHECK(decision->outcome == meet::Outcome::call_changed);
    CHECK(decision->call == meet::Call::clear);
    REQUIRE(decision->signatures.size() == 1);
    CHECK(decision->signatures.front().name == "Bea");
    CHECK_FALSE(decision->reason.empty());
    CHECK(state.runs().at(oldest.run).question == oldest.point);
    REQUIRE(state.appeals().size() == before.appeals().size() + 1);
    const meet::Appeal& lodged = state.appeals().rbegin()->second;
    CHECK(lodged.lodged_by == "Ann");
    CHECK(lodged.station == "gantry_rungs");
    CHECK(lodged.status == meet::AppealStatus::refused);  // long after the deadline
    CHECK(lodged.reason.find("after the deadline") != std::string::npos);
    CHECK(state.publications().size() == before.publications().size() + 1);
    CHECK(state.publications().rbegin()->second.note == "after the appeal");
    CHECK_FALSE(state.publications().rbegin()->second.official);
}
