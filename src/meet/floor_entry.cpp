#include "meet/floor_entry.h"

#include <algorithm>

#include "base/text.h"
#include "base/worded.h"
#include "meet/appeals.h"
#include "meet/official_time.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

Error refused(Sentence sentence) {
    return {Category::bad_input, std::move(sentence), ""};
}

bool has_station(const course::CourseBook& book, const std::string& key) {
    return book.find_station(key).valid();
}

/// Writes the values of one run; a thing that is there is changed, another one comes.
class Writer {
  public:
    Writer(const State& state, RunId run, const FloorLine& line, Change& change)
        : state_(state),
          run_(run),
          line_(line),
          change_(change),
          next_call_(state.next_id(Kind::floor_call)),
          next_time_(state.next_id(Kind::clock_time)) {}

    void call(const std::string& station, std::optional<Call> call) {
        const FloorCall* before = call_at(state_, run_, station);
        if (!call) {
            if (before != nullptr) change_.edits.push_back({*before, std::nullopt});
            return;
        }
        FloorCall now = before != nullptr ? *before : FloorCall{};
        if (before == nullptr) now.id = {next_call_++};
        now.run = run_;
        now.station = station;
        now.call = *call;
        if (!line_.judge.empty()) now.judge = line_.judge;
        if (line_.at) now.at = line_.at;
        const auto points = line_.points.find(station);
        if (points != line_.points.end()) now.points = points->second;
        if (now.call == Call::clear) now.points.reset();
        put(before, now);
    }

    void time(const std::string& station, const std::vector<base::Duration>& watches) {
        const ClockTime* before = nullptr;
        for (const ClockTime& one : state_.clock_times_of(run_)) {
            if (one.station == station) before = &one;
        }
        if (watches.empty()) {
            if (before != nullptr) change_.edits.push_back({*before, std::nullopt});
            return;
        }
        ClockTime now = before != nullptr ? *before : ClockTime{};
        if (before == nullptr) now.id = {next_time_++};
        now.run = run_;
        now.station = station;
        now.watches = watches;
        if (!line_.judge.empty()) now.judge = line_.judge;
        put(before, now);
    }

  private:
    template <class Thing>
    void put(const Thing* before, const Thing& now) {
        if (before == nullptr)
            change_.edits.push_back({std::nullopt, now});
        else if (!(*before == now))
            change_.edits.push_back({*before, now});
    }

    const State& state_;
    RunId run_;
    const FloorLine& line_;
    Change& change_;
    std::int64_t next_call_, next_time_;
};

Result<void> check(const course::CourseBook& book, const FloorLine& line) {
    const auto unknown = [&](const std::string& station) {
        std::vector<Sentence> keys;
        for (const course::Station& one : book.stations)
            keys.push_back(worded("'{}'", one.key));
        return refused(
            worded("The course has no station '{}'; it has {}.", station, base::listed_words(keys)));
    };
    for (const auto& [station, call] : line.calls) {
        if (!has_station(book, station)) return unknown(station);
    }
    for (const auto& [station, points] : line.points) {
        if (!has_station(book, station)) return unknown(station);
        const auto call = line.calls.find(station);
        if (call == line.calls.end() || call->second != Call::fail)
            return refused(worded("Points of a checkpoint go with a fail; '{}' is none.", station));
    }
    for (const auto& [station, watches] : line.times) {
        if (!station.empty() && !has_station(book, station)) return unknown(station);
        if (!watches.empty() && !combined(watches, {}))
            return refused(worded("One, two or three watches give a time."));
    }
    return {};
}

std::string label_of(const State& state, const Entry& entry, bool rerun) {
    const std::string number = state.athletes().at(entry.athlete).number;
    const std::string& round = state.rounds().at(entry.round).name;
    return (round.empty() ? "run" : round) + " " + number + (rerun ? ", re-run" : "");
}

}  // namespace

const Run* latest_run(const State& state, EntryId entry) {
    const Run* latest = nullptr;
    for (const Run& run : state.runs_of(entry))
        latest = &run;
    return latest;
}

BookId newest_book(const State& state) {
    return state.books().empty() ? BookId{} : state.books().rbegin()->first;
}

Result<Change> floor_change(const State& state, const course::CourseBook& book, const FloorLine& line,
                            bool rerun) {
    const auto entry = state.entries().find(line.entry);
    if (entry == state.entries().end())
        return Error{Category::not_found, worded("There is no such entry."), ""};
    if (Result<void> good = check(book, line); !good) return good.error();
    const std::string number = state.athletes().at(entry->second.athlete).number;
    Change change;
    change.label = "floor entry, number " + number;
    const Run* latest = latest_run(state, line.entry);
    RunId id = latest != nullptr ? latest->id : RunId{};
    if (latest == nullptr || rerun) {
        Run run;
        run.id = {state.next_id(Kind::run)};
        run.athlete = entry->second.athlete;
        run.book = newest_book(state);
        run.label = label_of(state, entry->second, rerun);
        run.lane = entry->second.lane;
        run.entry = line.entry;
        if (latest != nullptr) run.rerun_of = latest->id;
        change.edits.push_back({std::nullopt, run});
        id = run.id;
    }
    Writer writer(state, id, line, change);
    for (const auto& [station, call] : line.calls)
        writer.call(station, call);
    for (const auto& [station, watches] : line.times)
        writer.time(station, watches);
    return change;
}

Result<std::map<std::string, std::optional<Call>>> read_calls(std::string_view letters,
                                                              const course::CourseBook& book) {
    if (letters.size() > book.stations.size())
        return refused(worded("'{}' has {} calls; the course has {} stations.", letters, letters.size(),
                              book.stations.size()));
    std::map<std::string, std::optional<Call>> calls;
    for (std::size_t i = 0; i < letters.size(); ++i) {
        const std::string& station = book.stations[i].key;
        if (letters[i] == 'c' || letters[i] == 'C')
            calls[station] = Call::clear;
        else if (letters[i] == 'f' || letters[i] == 'F')
            calls[station] = Call::fail;
        else if (letters[i] == '-')
            calls[station] = std::nullopt;
        else
            return refused(
                worded("'{}' is no call: c is clear, f is fail, - is none yet.", letters.substr(i, 1)));
    }
    return calls;
}

Result<std::vector<base::Duration>> read_watches(std::string_view text) {
    std::vector<base::Duration> watches;
    for (std::size_t begin = 0; begin < text.size();) {
        const std::size_t end = std::min(text.size(), text.find('/', begin));
        const Result<base::Duration> time = read_time(text.substr(begin, end - begin));
        if (!time) return time.error();
        watches.push_back(*time);
        begin = end + 1;
    }
    return watches;
}

std::vector<Sentence> floor_remarks(const State& state, const course::CourseBook& book, RunId run) {
    std::map<std::string, Call> calls;
    for (const FloorCall& call : state.floor_calls_of(run))
        calls[call.station] = call.call;
    std::map<std::string, base::Duration> times;
    for (const ClockTime& time : state.clock_times_of(run)) {
        const auto one = combined(time.watches, state.rules().times);
        if (one) times[time.station] = *one;
    }
    std::vector<Sentence> remarks;
    std::string fail, missing, timed;
    base::Duration last{};
    for (const course::Station& station : book.stations) {
        const auto call = calls.find(station.key);
        const auto time = times.find(station.key);
        if (call != calls.end()) {
            if (!fail.empty())
                remarks.push_back(worded("The run ended at '{}', yet '{}' has a call.", fail, station.name));
            else if (!missing.empty())
                remarks.push_back(worded("'{}' has a call, '{}' before it has none.", station.name, missing));
        }
        if (time != times.end() && (call == calls.end() || call->second != Call::clear))
            remarks.push_back(worded("'{}' has a time but is not called clear.", station.name));
        if (time != times.end() && time->second < last)
            remarks.push_back(worded("The time of '{}' is before that of '{}'.", station.name, timed));
        if (time != times.end()) {
            last = std::max(last, time->second);
            timed = station.name;
        }
        if (call == calls.end() && missing.empty()) missing = station.name;
        const bool ends = book.format == course::Format::first_fail_ends && call != calls.end() &&
                          call->second == Call::fail;
        if (ends && fail.empty()) fail = station.name;
    }
    const auto finish = times.find("");
    if (finish != times.end() && finish->second < last)
        remarks.push_back(worded("The finish is before the time of '{}'.", timed));
    return remarks;
}

}  // namespace plumbmark::meet
