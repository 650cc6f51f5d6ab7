// Standings, from calls, times, decisions and the meet's rules.
#include "meet/standings.h"

#include "meet/meet_maker.h"

using namespace plumbmark;
using namespace plumbmark::meet;
using plumbmark::test::MeetMaker;

TEST_CASE("stations cleared, then the time of the last clear; the first fail ends the run") {
    MeetMaker meet;
    const RunId far = meet.run(meet.enter(17), "ccf");
    meet.clock(far, "hop", {"12.30"});
    meet.clock(far, "swing", {"61.20"});
    const RunId fast = meet.run(meet.enter(4), "cf-");
    meet.clock(fast, "hop", {"9.80"});
    const RunId slow = meet.run(meet.enter(9), "ccf");
    meet.clock(slow, "swing", {"61.201"});
    const RunId all = meet.run(meet.enter(21), "ccc");
    meet.clock(all, "rungs", {"1:40.00"});
    meet.clock(all, "", {"1:44.44"});
    meet.run(meet.enter(2), "fcc");  // what is called after the fail does not count
    CHECK(meet.table() == "1. 21 3 1:44.44; 2. 17 2 1:01.20; 3. 9 2 1:01.21; 4. 4 1 9.80; 5. 2 0");
}

TEST_CASE("ties share a place, and who has no time comes after who has") {
    MeetMaker meet;
    for (const std::int64_t number : {5, 3, 8}) {
        const RunId run = meet.run(meet.enter(number), "cf");
        if (number != 8) meet.clock(run, "hop", {"10.00"});
    }
    meet.clock(meet.run(meet.enter(1), "cf"), "hop", {"10.01"});
    CHECK(meet.table() == "1. 3 1 10.00; 1. 5 1 10.00; 3. 1 1 10.01; 4. 8 1");
}

TEST_CASE("who has not run, did not start, withdrew or is disqualified stands below, without a place") {
    MeetMaker meet;
    meet.run(meet.enter(7), "f");
    meet.enter(1, {1}, EntryStatus::disqualified);
    meet.enter(2, {1}, EntryStatus::not_started);
    meet.enter(3, {1}, EntryStatus::withdrawn);
    meet.enter(4);
    // A run of somebody who is disqualified afterwards does not count.
    meet.run(meet.enter(6, {1}, EntryStatus::disqualified), "ccc");
    CHECK(meet.table() ==
          "1. 7 0; -. 4 awaited; -. 2 not started; -. 3 withdrawn; -. 1 disqualified; -. 6 disqualified");
    CHECK_FALSE(Results(meet.state, meet.sources()).standings({1}, {1}).final);
}

TEST_CASE("points, with what a fail came to, where every station counts") {
    MeetMaker meet("every station counts");
    Rules rules;
    rules.order = Order::points_then_time;
    meet.rules(rules);
    meet.run(meet.enter(1), "cfc");  // 3 + 5
    const RunId part = meet.run(meet.enter(2), "fcc");
    for (const auto& [id, call] : meet.state.floor_calls()) {
        if (call.run != part || call.station != "hop") continue;
        FloorCall more = call;
        more.points = 2;
        meet.change(FloorCall(call), more);
        break;
    }
    CHECK(meet.table() == "1. 2 11; 2. 1 8");
}

TEST_CASE("three watches give one time, rounded as the meet rounds") {
    MeetMaker meet;
    const RunId run = meet.run(meet.enter(1), "cf");
    meet.clock(run, "hop", {"25.31", "25.31", "25.40"});
    CHECK(meet.table() == "1. 1 1 25.31");
    Rules rules;
    rules.times = {{100'000'000}, Rounding::up, TwoWatches::slower};
    meet.rules(rules);
    CHECK(meet.table() == "1. 1 1 25.4");
    rules.times.rounding = Rounding::down;
    meet.rules(rules);
    CHECK(meet.table() == "1. 1 1 25.3");
}

TEST_CASE("a time from footage stands in where the clock failed, and separates nobody that it cannot") {
    MeetMaker meet;
    meet.clock(meet.run(meet.enter(1), "cf"), "hop", {"10.00"});
    meet.clock(meet.run(meet.enter(2), "cf"), "hop", {"10.30"});
    const RunId unclocked = meet.run(meet.enter(3), "cf");
    meet.footage(unclocked, "9.985", "10.018");
    CHECK(meet.table() == "1. 1 1 10.00; 1. 3 1 9.99 to 10.02; 3. 2 1 10.30");
    meet.clock(unclocked, "hop", {"10.01"});
    CHECK(meet.table() == "1. 1 1 10.00; 2. 3 1 10.01; 3. 2 1 10.30");
}

TEST_CASE("a decision on an appeal changes the call, and the place") {
    MeetMaker meet;
    meet.run(meet.enter(1), "ccf");
    const RunId run = meet.run(meet.enter(2), "cfc");
    const AppealId appeal = meet.appeal(run, "swing");
    CHECK(meet.table() == "1. 1 2; 2. 2 1 so far");
    meet.decide(appeal, Outcome::call_changed, Call::clear);
    CHECK(meet.table() == "1. 2 3; 2. 1 2");
    // A later decision on the same appeal takes the place of the first.
    meet.decide(appeal, Outcome::call_stands, Call::fail);
    CHECK(meet.table() == "1. 1 2; 2. 2 1");
}

TEST_CASE("a re-run that was granted is awaited, then replaces the run or is held against it") {
    MeetMaker meet;
    meet.run(meet.enter(1), "ccf");
    const EntryId entry = meet.enter(2);
    const RunId first = meet.run(entry, "ccf");
    meet.clock(first, "swing", {"30.00"});
    const AppealId appeal = meet.appeal(first, "rungs");
    meet.decide(appeal, Outcome::rerun, Call::fail);
    CHECK(meet.table() == "1. 2 2 30.00 so far; 2. 1 2");
    meet.run(entry, "cf", first);
    CHECK(meet.table() == "1. 1 2; 2. 2 1");
    Rules rules;
    rules.rerun = Rerun::better;
    meet.rules(rules);
    CHECK(meet.table() == "1. 2 2 30.00; 2. 1 2");
}

TEST_CASE("the round before settles exact ties where the meet says so") {
    MeetMaker meet;
    meet.add(Round{{2}, "Heats", RoundKind::qualifying, 1});
    for (const std::int64_t number : {1, 2, 3}) {
        meet.clock(meet.run(meet.enter(number, {2}), "cf"), "hop",
                   {"1" + std::to_string(9 - number) + ".00"});
        meet.clock(meet.run(meet.enter(number), "ccc"), "", {"40.00"});
    }
    CHECK(meet.table() == "1. 1 3 40.00; 1. 2 3 40.00; 1. 3 3 40.00");
    Rules rules;
    rules.tie_break = TieBreak::round_before;
    meet.rules(rules);
    CHECK(meet.table({2}) == "1. 3 1 16.00; 2. 2 1 17.00; 3. 1 1 18.00");
    CHECK(meet.table() == "1. 3 3 40.00; 2. 2 3 40.00; 3. 1 3 40.00");
}

TEST_CASE("results are final once nothing is awaited, missing or under appeal") {
    MeetMaker meet;
    const auto final = [&] { return Results(meet.state, meet.sources()).standings({1}, {1}).final; };
    const EntryId entry = meet.enter(1);
    CHECK_FALSE(final());
    const RunId run = meet.run(entry, "cc-");
    CHECK_FALSE(final());
    FloorCall last;
    last.id = {meet.state.next_id(Kind::floor_call)};
    last.run = run;
    last.station = "rungs";
    meet.add(last);
    CHECK(final());
    const AppealId appeal = meet.appeal(run, "rungs");
    CHECK_FALSE(final());
    meet.decide(appeal, Outcome::call_stands, Call::fail);
    CHECK(final());
}

TEST_CASE("what moved between two publications is told with its cause") {
    MeetMaker meet;
    const RunId first = meet.run(meet.enter(1), "ccf");
    const RunId second = meet.run(meet.enter(2), "cff");
    meet.run(meet.enter(3), "f");
    const auto lines = [&] {
        return published_lines(Results(meet.state, meet.sources()).standings({1}, {1}),
                               meet.state.rules().times);
    };
    const auto before = lines();
    CHECK(moves(before, before).empty());
    meet.decide(meet.appeal(second, "swing"), Outcome::call_changed, Call::clear);
    meet.clock(second, "swing", {"20.00"});
    meet.clock(first, "swing", {"21.00"});
    const EntryId late = meet.enter(4, {1}, EntryStatus::not_started);
    const auto after = lines();
    const EntryId one = after[1].entry, two = after[0].entry;
    CHECK(moves(before, after) == std::vector<Move>{{two, 2, 1, MoveCause::own_result},
                                                    {one, 1, 2, MoveCause::own_result},
                                                    {late, std::nullopt, std::nullopt, MoveCause::came}});
    CHECK(moves(after, before).back() == Move{late, std::nullopt, std::nullopt, MoveCause::went});
    meet.clock(second, "swing", {"22.00"});
    CHECK(moves(after, lines()) ==
          std::vector<Move>{{one, 2, 1, MoveCause::others}, {two, 1, 2, MoveCause::own_result}});
}
