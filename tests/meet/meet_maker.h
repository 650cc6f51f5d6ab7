// A small meet for tests: one course of three stations, and athletes whose calls and times a test writes down
// in a word each.
#pragma once

#include <catch2/catch.hpp>
#include <map>
#include <string>

#include "course/read.h"
#include "meet/standings.h"

namespace plumbmark::test {

class MeetMaker {
  public:
    explicit MeetMaker(const std::string& format = "first fail ends") {
        const auto read = course::read_book_or_error(book_text(format), "pier-nine.course");
        INFO((read.ok() ? "" : read.error().text()));
        REQUIRE(read.ok());
        course_ = *read;
        add(meet::Division{{1}, "u14", "Under 14", {}, {}, "", ""});
        add(meet::Round{{1}, "Final", meet::RoundKind::final, 2});
    }

    template <class Thing>
    void add(const Thing& thing) {
        edit({std::nullopt, thing});
    }
    template <class Thing>
    void change(const Thing& before, const Thing& after) {
        edit({before, after});
    }
    void rules(const meet::Rules& rules) { change(state.rules(), rules); }

    /// An athlete of this number, entered in the round.
    meet::EntryId enter(std::int64_t number, meet::RoundId round = {1},
                        meet::EntryStatus status = meet::EntryStatus::entered) {
        if (!state.athletes().contains({number})) {
            meet::Athlete athlete;
            athlete.id = {number};
            athlete.number = std::to_string(number);
            athlete.division = "u14";
            add(athlete);
        }
        meet::Entry entry;
        entry.id = {state.next_id(meet::Kind::entry)};
        entry.athlete = {number};
        entry.round = round;
        entry.start = static_cast<std::int32_t>(number);
        entry.status = status;
        add(entry);
        return entry.id;
    }

    /// A run of the entry with calls in the order of the stations: c clear, f fail, - none.
    meet::RunId run(meet::EntryId entry, const std::string& calls, meet::RunId rerun_of = {}) {
        meet::Run run;
        run.id = {state.next_id(meet::Kind::run)};
        run.entry = entry;
        run.rerun_of = rerun_of;
        add(run);
        for (std::size_t i = 0; i < calls.size(); ++i) {
            if (calls[i] == '-') continue;
            meet::FloorCall call;
            call.id = {state.next_id(meet::Kind::floor_call)};
            call.run = run.id;
            call.station = course_.stations.at(i).key;
            call.call = calls[i] == 'c' ? meet::Call::clear : meet::Call::fail;
            call.judge = "judge at the " + course_.stations.at(i).name;
            add(call);
        }
        return run.id;
    }

    /// What the official clock took at the completion of a station, or at the finish ("").
    void clock(meet::RunId run, const std::string& station, const std::vector<std::string>& watches) {
        meet::ClockTime time;
        time.id = {state.next_id(meet::Kind::clock_time)};
        time.run = run;
        time.station = station;
        for (const std::string& watch : watches)
            time.watches.push_back(*meet::read_time(watch));
        add(time);
    }

    meet::AppealId appeal(meet::RunId run, const std::string& station, std::int64_t lodged_at_ms = 0) {
        meet::Appeal appeal;
        appeal.id = {state.next_id(meet::Kind::appeal)};
        appeal.run = run;
        appeal.station = station;
        appeal.lodged_at = {lodged_at_ms};
        add(appeal);
        return appeal.id;
    }

    void decide(meet::AppealId appeal, meet::Outcome outcome, meet::Call call) {
        meet::Decision decision;
        decision.id = {state.next_id(meet::Kind::decision)};
        decision.appeal = appeal;
        decision.outcome = outcome;
        decision.call = call;
        decision.signatures = {{"head judge", meet::Capacity::head_judge}};
        add(decision);
    }

    void footage(meet::RunId run, const std::string& from, const std::string& to) {
        footage_[run] = meet::TimeRange{*meet::read_time(from), *meet::read_time(to)};
    }

    [[nodiscard]] meet::Sources sources() const {
        return {[this](const meet::Run&) { return &course_; },
                [this](const meet::Run& run) -> std::optional<meet::TimeRange> {
                    const auto found = footage_.find(run.id);
                    return found == footage_.end() ? std::nullopt : std::optional(found->second);
                }};
    }

    /// "1. 17 2 61.20; 2. 4 2 61.40; -. 9 not started": place, number, stations cleared, time.
    [[nodiscard]] std::string table(meet::RoundId round = {1}) const {
        const meet::Results results(state, sources());
        std::string text;
        for (const meet::Line& line : results.standings(round, {1}).lines)
            text += (text.empty() ? "" : "; ") + told(line);
        return text;
    }

    [[nodiscard]] const course::CourseBook& course() const { return course_; }

    meet::State state;

  private:
    [[nodiscard]] std::string told(const meet::Line& line) const {
        static const std::map<meet::LineStatus, std::string> kWords{
            {meet::LineStatus::awaited, "awaited"},
            {meet::LineStatus::not_started, "not started"},
            {meet::LineStatus::withdrawn, "withdrawn"},
            {meet::LineStatus::disqualified, "disqualified"}};
        const std::string number = state.athletes().at(state.entries().at(line.entry).athlete).number;
        if (line.status != meet::LineStatus::placed) return "-. " + number + " " + kWords.at(line.status);
        const meet::Score& score = line.result.score;
        std::string text = std::to_string(line.placing.place) + ". " + number + " ";
        const bool points = state.rules().order == meet::Order::points_then_time;
        text += std::to_string(points ? score.points : score.cleared);
        if (score.time) text += " " + meet::range_text(*score.time, state.rules().times.unit);
        return line.result.complete ? text : text + " so far";
    }

    void edit(const meet::Edit& one) {
        const auto applied = state.apply({"test", {one}, 0});
        INFO((applied.ok() ? "" : applied.error().text()));
        REQUIRE(applied.ok());
    }

    static std::string book_text(const std::string& format) {
        return "course = \"harbour hall\"\nrevision = \"1\"\nformat = \"" + format + R"("
[surfaces]
pier_deck = "pier deck"
coil_deck = "coil deck"
gantry_deck = "gantry deck"
quay_deck = "quay deck"
[[station]]
key = "hop"
name = "hop"
start = "pier_deck"
landing = { surface = "coil_deck" }
points = 3
[[station]]
key = "swing"
name = "swing"
start = "coil_deck"
landing = { surface = "gantry_deck" }
points = 4
[[station]]
key = "rungs"
name = "rungs"
start = "gantry_deck"
landing = { surface = "quay_deck" }
points = 5
)";
    }

    course::CourseBook course_;
    std::map<meet::RunId, meet::TimeRange> footage_;
};

}  // namespace plumbmark::test
