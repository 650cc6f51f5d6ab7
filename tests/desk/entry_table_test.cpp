// The floor's table without a window: which rows it has, and the hand that moves and types in it.
#include "desk/entry_table.h"

#include <catch2/catch.hpp>

#include "desk/competition_meet.h"
#include "desk/test_meet.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using desk::EntryHand;
using desk::EntryTable;
using desk::Typing;

namespace {

struct Floor {
    explicit Floor(const std::vector<std::string>& numbers = {"17", "4", "21", "9"})
        : state(test::state_of(test::make_competition(folder.path(), numbers))) {}

    EntryTable table(const desk::EntryFilter& filter = {}) {
        review::MeetCourses courses(state);
        return desk::entry_table(state, courses, filter);
    }
    void apply(const base::Result<meet::Change>& change) { test::apply(state, change); }
    void enter(std::int64_t entry, const std::string& calls, const std::string& time = "",
               bool rerun = false) {
        review::MeetCourses courses(state);
        const course::CourseBook* book = courses.of_entry({entry}, rerun);
        REQUIRE(book != nullptr);
        meet::FloorLine line;
        line.entry = {entry};
        line.calls = *meet::read_calls(calls, *book);
        if (!time.empty()) line.times[""] = *meet::read_watches(time);
        apply(meet::floor_change(state, *book, line, rerun));
    }

    test::TemporaryFolder folder;
    meet::State state;
};

std::string numbers_of(const EntryTable& table) {
    std::string text;
    for (const desk::EntryRow& row : table.rows)
        text += (text.empty() ? "" : " ") + row.number + (row.rerun ? "r" : "");
    return text;
}

}  // namespace

TEST_CASE(
    "the floor's table has a row a run in start order, and a column a station before the official time") {
    Floor floor;
    const EntryTable table = floor.table();
    CHECK(numbers_of(table) == "17 4 21 9");
    REQUIRE(table.columns.size() == 3);
    CHECK(table.columns[0].station == "bollard_hop");
    CHECK(table.columns[1].name == "hawser swing");
    CHECK(table.columns[2].station.empty());
    CHECK(test::floor_of(floor.state) == "17 --; 4 --; 21 --; 9 --");
    floor.enter(2, "cf", "12.5");
    CHECK(test::floor_of(floor.state) == "17 --; 4 cf 12.50; 21 --; 9 --");
}

TEST_CASE("start order goes by heat before place, and the filter leaves out other heats and divisions") {
    Floor floor;
    meet::Entry later = floor.state.entries().at({1});
    later.heat = 2;
    floor.apply(meet::Change{"heat", {{floor.state.entries().at({1}), later}}, 0});
    CHECK(numbers_of(floor.table()) == "4 21 9 17");
    desk::EntryFilter filter;
    filter.heat = 2;
    CHECK(numbers_of(floor.table(filter)) == "17");
    CHECK(desk::filter_words(floor.state, filter) == "heat 2");
    meet::Athlete older = floor.state.athletes().at({3});
    older.division = "u16";
    const meet::Division division{{2}, "u16", "Under 16", {}, {}, "", ""};
    floor.apply(
        meet::Change{"division", {{std::nullopt, division}, {floor.state.athletes().at({3}), older}}, 0});
    filter = {meet::RoundId{1}, meet::DivisionId{2}, {}};
    CHECK(numbers_of(floor.table(filter)) == "21");
    CHECK(desk::filter_words(floor.state, filter) == "Final, u16");
    CHECK(desk::filter_words(floor.state, {}) == "every run");
}

TEST_CASE("a re-run has a row of its own below the run that it repeats, which takes no more calls") {
    Floor floor;
    floor.enter(1, "cf");
    floor.enter(1, "cc", "", true);
    const EntryTable table = floor.table();
    CHECK(numbers_of(table) == "17 17r 4 21 9");
    CHECK_FALSE(table.rows[0].latest);
    CHECK(table.rows[1].latest);
    CHECK(desk::call_words(table.rows[0].cells[1]) == "fail");
    CHECK(desk::call_words(table.rows[1].cells[1]) == "clear");
    CHECK(desk::row_of_number(table, "17") == 1);
}

TEST_CASE("a cell says the points of a fail, an appeal against it, and that one was decided") {
    Floor floor;
    floor.enter(1, "cf");
    const meet::FloorCall call = floor.state.floor_calls().rbegin()->second;
    meet::FloorCall with_points = call;
    with_points.points = 2;
    const meet::Appeal appeal{{1}, call.run, "hawser_swing", "", "", meet::Capacity::coach, {}, false,
                              {},  ""};
    floor.apply(meet::Change{"appeal", {{call, with_points}, {std::nullopt, appeal}}, 0});
    CHECK(desk::call_words(floor.table().rows[0].cells[1]) == "fail 2");
    CHECK(floor.table().rows[0].cells[1].under_appeal);
    meet::Decision decision;
    decision.id = {1};
    decision.appeal = {1};
    decision.signatures = {{"Bea", meet::Capacity::head_judge}};
    floor.apply(meet::Change{"decide", {{std::nullopt, decision}}, 0});
    CHECK_FALSE(floor.table().rows[0].cells[1].under_appeal);
    CHECK(floor.table().rows[0].cells[1].decided);
}

TEST_CASE("digits go to a number, and in the column of the official time they write a time") {
    Floor floor({"17", "4", "171", "9"});
    const EntryTable table = floor.table();
    EntryHand hand;
    CHECK_FALSE(hand.type(table, U'x'));
    CHECK(hand.type(table, U'1'));
    CHECK(hand.row == 0);
    CHECK(hand.type(table, U'7'));
    CHECK(hand.row == 0);
    CHECK(hand.type(table, U'1'));
    CHECK(hand.row == 2);
    CHECK_FALSE(hand.type(table, U'.'));
    hand.take_back();
    CHECK(hand.text == "17");
    hand.move(table, 0, 5);
    CHECK(hand.typing == Typing::nothing);
    CHECK(hand.column == 2);
    for (const char32_t c : std::u32string(U"1:01,2/61.25"))
        CHECK(hand.type(table, c));
    CHECK(hand.typing == Typing::time);
    CHECK(hand.text == "1:01,2/61.25");
    CHECK(hand.row == 2);
    CHECK_FALSE(hand.type(table, U'c'));
}

TEST_CASE("the hand stays within the table, and Tab goes on in the next row") {
    Floor floor({"17", "4"});
    const EntryTable table = floor.table();
    EntryHand hand;
    hand.move(table, -3, -3);
    CHECK(hand.row == 0);
    for (int i = 0; i < 3; ++i)
        hand.tab(table, false);
    CHECK(hand.row == 1);
    CHECK(hand.column == 0);
    hand.tab(table, true);
    CHECK(hand.row == 0);
    CHECK(hand.column == 2);
    hand.move(table, 1'000, 1'000);
    CHECK(hand.row == 1);
    hand.tab(table, false);
    CHECK(hand.row == 1);
    CHECK(hand.column == 2);
    const EntryTable none;
    hand.move(none, 1, 1);
    CHECK(hand.row == 0);
    CHECK_FALSE(hand.type(none, U'1'));
}

TEST_CASE("the hand keeps its run when rows come before it") {
    Floor floor;
    const EntryTable before = floor.table();
    EntryHand hand;
    hand.row = 2;
    hand.column = 1;
    floor.enter(1, "cf");
    floor.enter(1, "cc", "", true);
    const EntryTable after = floor.table();
    hand.stay(before, after);
    CHECK(after.rows[hand.row].number == "21");
    CHECK(hand.column == 1);
}
