// plumbmark call MEETFILE NUMBER: what was called from the floor, and what the clock showed.
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "meet/competition_words.h"
#include "meet/floor_entry.h"
#include "meet/official_time.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct CallOptions {
    std::string meet, number, calls, round, judge, status, reason;
    std::vector<std::string> times;
    bool rerun = false;
};

/// The course that the next calls of this entry are of.
Result<course::CourseBook> course_of(const meet::State& state, meet::EntryId entry, bool rerun) {
    review::MeetCourses courses(state);
    const course::CourseBook* book = courses.of_entry(entry, rerun);
    if (book != nullptr) return *book;
    return Error{
        Category::not_found,
        "There is no course for this athlete: the meet has no course book that can be read, or the book has "
        "no such division or lane. See plumbmark course.",
        ""};
}

/// "61.20", "swing=61.20", "swing=61.20/61.24", "swing=": of a station by key, else the finish.
Result<void> read_time_option(const std::string& text, meet::FloorLine& line) {
    const std::size_t equals = text.find('=');
    const std::string station = equals == std::string::npos ? "" : text.substr(0, equals);
    const std::string watches = equals == std::string::npos ? text : text.substr(equals + 1);
    Result<std::vector<base::Duration>> read = meet::read_watches(watches);
    if (!read) return read.error();
    line.times[station] = std::move(*read);
    return {};
}

Result<meet::Change> change_of(const CallOptions& options, const meet::State& state) {
    const auto round = find_round(state, options.round);
    if (!round) return round.error();
    const auto entry = find_entry(state, *round, options.number);
    if (!entry) return entry.error();
    const bool has_calls = !options.calls.empty() || !options.times.empty();
    meet::Change change;
    if (has_calls || options.rerun) {
        const auto book = course_of(state, *entry, options.rerun);
        if (!book) return book.error();
        auto calls = meet::read_calls(options.calls, *book);
        if (!calls) return calls.error();
        meet::FloorLine line{*entry, std::move(*calls), {}, {}, options.judge, review::now()};
        for (const std::string& time : options.times) {
            if (Result<void> read = read_time_option(time, line); !read) return read.error();
        }
        Result<meet::Change> made = meet::floor_change(state, *book, line, options.rerun);
        if (!made) return made.error();
        change = std::move(*made);
    }
    if (!options.status.empty()) {
        const auto status = base::value_of(meet::kEntryStatusWords, options.status);
        if (!status)
            return Error{Category::bad_input,
                         fmt::format("'{}' is no status; {} is.", options.status,
                                     base::listed(base::words_in(meet::kEntryStatusWords), "or")),
                         ""};
        const meet::Entry& before = state.entries().at(*entry);
        meet::Entry now = before;
        now.status = *status;
        now.reason = options.reason;
        if (!(now == before)) change.edits.push_back({before, now});
        if (change.label.empty()) change.label = "status of number " + options.number;
    }
    return change;
}

int call(const CallOptions& options) {
    const auto state =
        review::change_meet(options.meet, [&](const meet::State& now) { return change_of(options, now); });
    if (!state) return complain(state.error());
    const auto round = find_round(*state, options.round);
    const auto entry = find_entry(*state, *round, options.number);
    const meet::Run* run = meet::latest_run(*state, *entry);
    if (run == nullptr) return kDone;
    review::MeetCourses courses(*state);
    const course::CourseBook* book = courses.of(*run);
    if (book == nullptr) return kDone;
    for (const std::string& remark : meet::floor_remarks(*state, *book, run->id))
        fmt::print(stderr, "plumbmark: number {}: {}\n", options.number, remark);
    const meet::Results results(*state, courses.sources());
    const meet::RunResult& result = results.of(*run);
    std::string text;
    for (std::size_t i = 0; i < result.stations.size(); ++i) {
        const auto& its = result.stations[i].call;
        text += fmt::format("{}{} {}", i > 0 ? ", " : "", book->stations[i].name,
                            its ? base::word_for(meet::kCallWords, *its) : std::string("-"));
    }
    const auto& time = result.score.time;
    fmt::print("{}: {}{}\n", options.number, text,
               time ? "; " + meet::range_text(*time, state->rules().times.unit) : "");
    return kDone;
}

}  // namespace

void add_call(CLI::App& program, Action& action) {
    auto options = std::make_shared<CallOptions>();
    CLI::App* command = program.add_subcommand(
        "call", "Write down what was called from the floor for one athlete, and the clock's times");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("NUMBER", options->number, "The athlete's number")->required();
    command->add_option("CALLS", options->calls,
                        "One letter a station, in the order of the course: c clear, f fail, - none");
    command->add_option("--round", options->round, "The round, by name or number; the last one by default");
    command->add_option("--time", options->times,
                        "A time of the official clock: at the finish (61.20) or at a station's completion "
                        "(swing=61.20); of two or three watches 61.20/61.24; swing= takes it back");
    command->add_option("--judge", options->judge, "Who gave it");
    command->add_option("--status", options->status, "entered, not_started, withdrawn or disqualified");
    command->add_option("--reason", options->reason, "Why withdrawn or disqualified");
    command->add_flag("--rerun", options->rerun, "These are of a re-run, a run of its own");
    command->callback([options, &action] { action = [options] { return call(*options); }; });
}

}  // namespace plumbmark::cli
