// plumbmark call MEETFILE NUMBER: what was called from the floor, and what the clock showed.
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "meet/competition_words.h"
#include "meet/floor_entry.h"
#include "review/call_list.h"
#include "review/entering.h"
#include "store/csv.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct CallOptions {
    std::string meet, number, calls, round, judge, status, reason, take_in, out;
    std::vector<std::string> times;
    bool rerun = false;
    bool preview = false;
};

Result<meet::Change> change_of(const CallOptions& options, const meet::State& state) {
    const auto round = find_round(state, options.round);
    if (!round) return round.error();
    const auto entry = find_entry(state, *round, options.number);
    if (!entry) return entry.error();
    const bool has_calls = !options.calls.empty() || !options.times.empty();
    meet::Change change;
    if (has_calls || options.rerun) {
        review::MeetCourses courses(state);
        const auto book = review::course_for_calls(courses, *entry, options.rerun);
        if (!book) return book.error();
        auto calls = meet::read_calls(options.calls, *book);
        if (!calls) return calls.error();
        meet::FloorLine line{*entry, std::move(*calls), {}, {}, options.judge, review::now()};
        for (const std::string& time : options.times) {
            if (Result<void> read = review::read_time_words(time, line); !read) return read.error();
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
    fmt::print("{}: {}\n", options.number, review::called_words(*state, courses, *run));
    return kDone;
}

int print_problems(const std::string& path, const review::CallList& list) {
    for (const std::string& problem : list.problems)
        fmt::print(stderr, "plumbmark: {}: {}\n", path, problem);
    for (const review::CallRow& row : list.rows) {
        for (const std::string& problem : row.problems)
            fmt::print(stderr, "plumbmark: {}:{}: {}\n", path, row.line, problem);
    }
    fmt::print(stderr, "plumbmark: Nothing was entered.\n");
    return exit_code(Category::bad_input);
}

int take_in(const CallOptions& options) {
    const Result<base::Table> table = review::read_list_file(options.take_in);
    if (!table) return complain(table.error());
    review::CallList list;
    const auto make = [&](const meet::State& state) -> Result<meet::Change> {
        const auto round = find_round(state, options.round);
        if (!round) return round.error();
        list = review::read_call_list(*table, state, *round, options.judge, review::now());
        return list.good() && !options.preview ? list.change : meet::Change{};
    };
    if (options.preview) {
        const Result<meet::State> state = read_meet(options.meet);
        if (!state) return complain(state.error());
        if (const auto made = make(*state); !made) return complain(made.error());
    } else if (const Result<meet::State> done = review::change_meet(options.meet, make); !done) {
        return complain(done.error());
    }
    if (!list.good()) return print_problems(options.take_in, list);
    for (const review::CallRow& row : list.rows) {
        fmt::print("{:>5}  {}\n", row.number, row.words);
        for (const std::string& remark : row.remarks)
            fmt::print(stderr, "plumbmark: {}:{}: number {}: {}\n", options.take_in, row.line, row.number,
                       remark);
    }
    fmt::print("calls of {} {}\n", base::counted(std::ssize(list.rows), "athlete"),
               options.preview ? "can be entered" : "entered");
    return kDone;
}

int give_out(const CallOptions& options) {
    const Result<meet::State> state = read_meet(options.meet);
    if (!state) return complain(state.error());
    const auto round = find_round(*state, options.round);
    if (!round) return complain(round.error());
    const base::Table table = review::call_table(*state, *round);
    if (const auto written = write_file(options.out, store::write_csv(table)); !written)
        return complain(written.error());
    fmt::print("{}: {}\n", options.out, base::counted(std::ssize(table.rows), "athlete"));
    return kDone;
}

int run_call(const CallOptions& options) {
    const int ways = !options.number.empty() + !options.take_in.empty() + !options.out.empty();
    if (ways != 1) {
        fmt::print(stderr, "plumbmark: Name one of an athlete's number, --take-in FILE and --out FILE.\n");
        return kUsage;
    }
    if (!options.take_in.empty()) return take_in(options);
    return options.out.empty() ? call(options) : give_out(options);
}

}  // namespace

void add_call(CLI::App& program, Action& action) {
    auto options = std::make_shared<CallOptions>();
    CLI::App* command = program.add_subcommand(
        "call", "Write down what was called from the floor for one athlete, and the clock's times");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("NUMBER", options->number, "The athlete's number");
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
    command->add_option("--take-in", options->take_in,
                        "Take in a table (CSV) of calls and times, whole or not at all: number, calls or a "
                        "column a station, time, times, judge, status, reason");
    command->add_flag("--preview", options->preview, "Say what the table would enter, and enter nothing");
    command->add_option("--out", options->out, "Write the round's calls and times as such a table");
    command->callback([options, &action] { action = [options] { return run_call(*options); }; });
}

}  // namespace plumbmark::cli
