// Appeals, standings and forms in the words of the desk, without a window.
#include <catch2/catch.hpp>

#include "desk/appeals_table.h"
#include "desk/competition_meet.h"
#include "desk/form.h"
#include "desk/keys.h"
#include "desk/standings_rows.h"
#include "meet/floor_entry.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using desk::FieldKind;
using desk::Form;
using desk::FormAsk;

namespace {

constexpr std::int64_t kMinute = 60'000;

/// Two athletes have run, a third has not; the results were announced at minute 10.
struct Day {
    Day() : state(test::state_of(test::make_competition(folder.path(), {"17", "4", "21"}))) {
        enter(1, "cf", "12.50");
        enter(2, "cc", "31.00");
        review::MeetCourses courses(state);
        apply(review::publication_change(state, courses, {}, false, {10 * kMinute}, ""));
    }
    void apply(const base::Result<meet::Change>& change) { test::apply(state, change); }
    void enter(std::int64_t entry, const std::string& calls, const std::string& time) {
        review::MeetCourses courses(state);
        const course::CourseBook* book = courses.of_entry({entry});
        REQUIRE(book != nullptr);
        meet::FloorLine line;
        line.entry = {entry};
        line.judge = "Pim";
        line.calls = *meet::read_calls(calls, *book);
        line.times[calls == "cc" ? "" : "bollard_hop"] = *meet::read_watches(time);
        apply(meet::floor_change(state, *book, line));
    }
    meet::AppealId lodge(const std::string& station, meet::WallTime at) {
        auto lodging = review::lodging(state, {{},
                                               meet::latest_run(state, {1})->id,
                                               station,
                                               "Was the hand on the hawser?",
                                               "Ann",
                                               meet::Capacity::coach,
                                               at,
                                               false,
                                               meet::AppealStatus::lodged,
                                               ""});
        REQUIRE(lodging.ok());
        apply(lodging->change);
        return lodging->id;
    }
    std::vector<desk::AppealRow> rows() const {
        review::MeetCourses courses(state);
        return desk::appeal_rows(state, courses);
    }

    test::TemporaryFolder folder;
    meet::State state;
};

}  // namespace

TEST_CASE("an appeal that is lodged becomes the question of its run and marks the floor call") {
    Day day;
    const meet::AppealId id = day.lodge("hawser_swing", {12 * kMinute});
    const meet::Appeal& appeal = day.state.appeals().at(id);
    CHECK(day.state.runs().at(appeal.run).question == "Was the hand on the hawser?");
    CHECK(meet::call_at(day.state, appeal.run, "hawser_swing")->under_appeal);
    CHECK(review::opening_for_review(day.state, appeal).edits.empty());
    const auto rows = day.rows();
    REQUIRE(rows.size() == 1);
    CHECK(rows[0].waits);
    CHECK(rows[0].number == "17");
    CHECK(rows[0].station == "hawser swing");
    CHECK(rows[0].call == "fail by Pim");
    CHECK(rows[0].by == "Ann (coach)");
    REQUIRE(rows[0].deadline);
    CHECK(review::time_left(rows[0].deadline, {12 * kMinute}) == "28:00 left");
    CHECK(review::time_left(rows[0].deadline, {41 * kMinute}) == "time is over");
    CHECK(review::time_left(std::nullopt, {0}) == "no deadline");
}

TEST_CASE("a refused appeal stands in the list with every reason, and marks nothing") {
    Day day;
    const meet::AppealId id = day.lodge("bollard_hop", {55 * kMinute});
    const auto rows = day.rows();
    REQUIRE(rows.size() == 1);
    CHECK_FALSE(rows[0].waits);
    CHECK(rows[0].state == "refused");
    CHECK(rows[0].more.find("The appeal came 15 minutes after the deadline") == 0);
    CHECK(rows[0].more.find("The call is clear already") != std::string::npos);
    CHECK_FALSE(meet::call_at(day.state, day.state.appeals().at(id).run, "bollard_hop")->under_appeal);
}

TEST_CASE("waiting appeals stand first, the oldest at the top, and a withdrawn one frees its call") {
    Day day;
    const meet::AppealId first = day.lodge("hawser_swing", {12 * kMinute});
    day.apply(review::withdrawal(day.state, first, "settled"));
    CHECK_FALSE(meet::call_at(day.state, day.state.appeals().at(first).run, "hawser_swing")->under_appeal);
    CHECK_FALSE(review::withdrawal(day.state, first, "again").ok());
    const meet::AppealId second = day.lodge("hawser_swing", {13 * kMinute});
    const auto rows = day.rows();
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].appeal == second);
    CHECK(rows[1].state == "withdrawn");
    CHECK(rows[1].more == "settled");
    day.apply([&]() -> base::Result<meet::Change> {
        auto decision = review::decision_by(day.state, second, ruling::Verdict::clear, "Both hands.",
                                            {{"Bea", meet::Capacity::head_judge}});
        if (!decision) return decision.error();
        return meet::Change{"decide", {{std::nullopt, *decision}}, 0};
    }());
    CHECK(day.rows()[0].state == "changed to clear");
    CHECK(day.rows()[0].more.find("The ruling was CLEAR. Both hands. Signed ") == 0);
    CHECK(day.rows()[0].more.find(": Bea (head judge).") != std::string::npos);
    CHECK_FALSE(review::withdrawal(day.state, second, "too late").ok());
}

TEST_CASE("standings say what they wait for, what moved since they were given out, and why") {
    Day day;
    auto tables = desk::standings_rows(review::standings_outlook(day.state));
    REQUIRE(tables.size() == 1);
    CHECK(tables[0].name == "Final, Under 14");
    CHECK(tables[0].short_state == "announced");
    CHECK(tables[0].state.find("announced, publication 1, given out ") == 0);
    CHECK(tables[0].awaits == std::vector<std::string>{"number 21 has not run yet"});
    REQUIRE(tables[0].rows.size() == 3);
    CHECK(tables[0].rows[0].number == "4");
    CHECK(tables[0].rows[0].counted == "2");
    CHECK(tables[0].rows[0].time == "31.00");
    CHECK(tables[0].rows[2].remark == "has not run yet");
    day.enter(3, "cc", "30.00");
    day.lodge("hawser_swing", {12 * kMinute});
    tables = desk::standings_rows(review::standings_outlook(day.state));
    CHECK(tables[0].short_state == "moved since");
    CHECK(tables[0].moved ==
          std::vector<std::string>{"number 21 moves from no place to place 1: its own result changed",
                                   "number 4 moves from place 1 to place 2: others moved",
                                   "number 17 moves from place 2 to place 3: others moved"});
    CHECK(tables[0].awaits == std::vector<std::string>{"number 17: appeal 1 is not decided"});
}

TEST_CASE("giving results out is told table by table, and refused as official while something is awaited") {
    Day day;
    const auto before = review::standings_outlook(day.state);
    const auto refused = review::giving_out(day.state, before, true);
    REQUIRE(refused.refusal);
    CHECK(refused.refusal->english().find("still wait for number 21") != std::string::npos);
    CHECK(review::giving_out(day.state, before, false).refusal ==
          "There is nothing to give out that was not given out before.");
    day.enter(3, "f", "1.00");
    const auto after = review::giving_out(day.state, review::standings_outlook(day.state), true);
    CHECK_FALSE(after.refusal);
    CHECK(after.tables == std::vector<base::Sentence>{"Final, u14 (3 lines)"});
}

TEST_CASE("in a form letters write, Enter takes up, and letters elsewhere do nothing") {
    Form form;
    CHECK(form.press('A', 0) == FormAsk::nothing);
    form.fields = {{FieldKind::text, "name", "", ""},
                   {FieldKind::toggle, "paid", "no", ""},
                   {FieldKind::act, "do it", "", ""}};
    CHECK(form.press('A', 0) == FormAsk::write_on);
    CHECK(form.press('A', desk::kCtrl) == FormAsk::nothing);
    CHECK(form.press(desk::key_enter, 0) == FormAsk::take_up);
    CHECK(form.press(desk::key_tab, 0) == FormAsk::moved);
    CHECK(form.cursor == 1);
    CHECK(form.press('A', 0) == FormAsk::moved);
    CHECK(form.press(' ', 0) == FormAsk::take_up);
    CHECK(form.press(desk::key_end, 0) == FormAsk::moved);
    CHECK(form.press(desk::key_down, 0) == FormAsk::moved);
    CHECK(form.cursor == 2);
    CHECK(form.press(desk::key_tab, desk::kShift) == FormAsk::moved);
    CHECK(form.cursor == 1);
    CHECK(form.press(desk::key_f1, 0) == FormAsk::nothing);
}
