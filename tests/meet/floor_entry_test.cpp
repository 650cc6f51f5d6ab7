// Calls and times from the floor.
#include "meet/floor_entry.h"

#include "meet/meet_maker.h"

using namespace plumbmark;
using namespace plumbmark::meet;
using plumbmark::test::MeetMaker;

namespace {

struct Floor {
    MeetMaker meet;
    EntryId entry = meet.enter(17);

    [[nodiscard]] const course::CourseBook& book() const { return meet.course(); }
    void write(const FloorLine& line, bool rerun = false) {
        const auto change = floor_change(meet.state, book(), line, rerun);
        INFO((change.ok() ? "" : change.error().text()));
        REQUIRE(change.ok());
        REQUIRE(meet.state.apply(*change).ok());
    }
    void write(const std::string& calls, const std::map<std::string, std::string>& times = {},
               bool rerun = false) {
        FloorLine line;
        line.entry = entry;
        line.calls = *read_calls(calls, book());
        for (const auto& [station, time] : times)
            line.times[station] =
                time.empty() ? std::vector<base::Duration>{} : std::vector{*read_time(time)};
        line.judge = "judge at the coil deck";
        line.at = WallTime{5};
        write(line, rerun);
    }
    [[nodiscard]] std::vector<std::string> remarks() const {
        const auto found = floor_remarks(meet.state, book(), latest_run(meet.state, entry)->id);
        return {found.begin(), found.end()};
    }
};

}  // namespace

TEST_CASE("a line from the floor makes the run, and later ones go to it") {
    Floor floor;
    floor.write("c");
    CHECK(floor.meet.table() == "1. 17 1 so far");
    const Run run = *latest_run(floor.meet.state, floor.entry);
    CHECK(run.label == "Final 17");
    CHECK(run.athlete == AthleteId{17});
    floor.write("ccF", {{"swing", "61.2"}});
    CHECK(floor.meet.table() == "1. 17 2 1:01.20");
    CHECK(floor.meet.state.runs().size() == 1);
    CHECK(floor.meet.state.floor_calls().size() == 3);
    const FloorCall& first = floor.meet.state.floor_calls().begin()->second;
    CHECK(first.judge == "judge at the coil deck");
    CHECK(first.at == WallTime{5});
    // Taken back: the call and the time.
    floor.write("cc-", {{"swing", ""}});
    CHECK(floor.meet.table() == "1. 17 2 so far");
}

TEST_CASE("writing the same line again changes nothing, and an undo takes a line back") {
    Floor floor;
    FloorLine line{floor.entry, *read_calls("cf", floor.book()), {}, {{"hop", {{9'800'000'000}}}}, "", {}};
    const State before = floor.meet.state;
    const Change change = *floor_change(before, floor.book(), line);
    REQUIRE(floor.meet.state.apply(change).ok());
    CHECK(floor_change(floor.meet.state, floor.book(), line)->edits.empty());
    REQUIRE(floor.meet.state.apply(inverse(change)).ok());
    CHECK(floor.meet.state.runs().empty());
    CHECK(floor.meet.state.floor_calls().empty());
}

TEST_CASE("a re-run is a run of its own") {
    Floor floor;
    floor.write("cf");
    floor.write("ccf", {}, true);
    CHECK(floor.meet.state.runs().size() == 2);
    const Run& again = *latest_run(floor.meet.state, floor.entry);
    CHECK(again.rerun_of == RunId{1});
    CHECK(again.label == "Final 17, re-run");
    CHECK(floor.meet.table() == "1. 17 2");
}

TEST_CASE("what is no call, no station or no time is refused") {
    const Floor floor;
    CHECK(read_calls("cx", floor.book()).error().sentence ==
          "'x' is no call: c is clear, f is fail, - is none yet.");
    CHECK(read_calls("cccc", floor.book()).error().sentence ==
          "'cccc' has 4 calls; the course has 3 stations.");
    const auto refusal = [&](const FloorLine& line) {
        const auto change = floor_change(floor.meet.state, floor.book(), line);
        REQUIRE_FALSE(change.ok());
        return change.error().sentence;
    };
    CHECK(refusal({floor.entry, {{"net", Call::clear}}, {}, {}, "", {}}) ==
          "The course has no station 'net'; it has 'hop', 'swing' and 'rungs'.");
    CHECK(refusal({floor.entry, {}, {}, {{"net", {}}}, "", {}}) ==
          "The course has no station 'net'; it has 'hop', 'swing' and 'rungs'.");
    CHECK(refusal({floor.entry, {{"hop", Call::clear}}, {{"hop", 2}}, {}, "", {}}) ==
          "Points of a checkpoint go with a fail; 'hop' is none.");
    CHECK(refusal({floor.entry, {}, {}, {{"hop", std::vector<base::Duration>(4)}}, "", {}}) ==
          "One, two or three watches give a time.");
    CHECK(refusal({EntryId{99}, {}, {}, {}, "", {}}) == "There is no such entry.");
}

TEST_CASE("what looks wrong is said, and written down all the same") {
    Floor floor;
    floor.write("ccc", {{"hop", "10"}, {"swing", "20"}, {"rungs", "30"}, {"", "31"}});
    CHECK(floor.remarks().empty());
    floor.write("cfc", {{"swing", "20"}});
    CHECK(floor.remarks() == std::vector<std::string>{"'swing' has a time but is not called clear.",
                                                      "The run ended at 'swing', yet 'rungs' has a call."});
    floor.write("c-c", {{"swing", ""}});
    CHECK(floor.remarks() == std::vector<std::string>{"'rungs' has a call, 'swing' before it has none."});
    floor.write("ccc", {{"hop", "25"}, {"swing", "20"}, {"", "29"}});
    CHECK(floor.remarks() == std::vector<std::string>{"The time of 'swing' is before that of 'hop'.",
                                                      "The finish is before the time of 'rungs'."});
}
