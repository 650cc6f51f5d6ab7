// bench-meet: what a large meet costs (Google Benchmark). The argument is the part of the meet: 16 is a
// sixteenth, 1 the whole. Figures and how to repeat them: docs/figures.md, 'A large meet'.
#include <benchmark/benchmark.h>
#include <malloc.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <memory>
#include <optional>

#include "bench_meet/large_meet.h"
#include "meet/appeals.h"
#include "meet/floor_entry.h"
#include "review/competition.h"
#include "review/session.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"

namespace {

using namespace plumbmark;

/// What came out otherwise than it must measures nothing.
void demand(bool as_expected, const std::string& what) {
    if (as_expected) return;
    std::fprintf(stderr, "bench-meet: %s.\n", what.c_str());
    std::exit(1);
}

struct Made {
    std::filesystem::path file;
    meet::State state;
};

/// The meet of this part, made once. Made where syncing costs nothing, and copied to a disk.
const Made& meet_of(std::int64_t part) {
    static const test::TemporaryFolder kFolder;
    static std::map<std::int64_t, Made> made;
    const auto known = made.find(part);
    if (known != made.end()) return known->second;
    const bool in_memory = std::filesystem::exists("/dev/shm");
    const test::TemporaryFolder folder(in_memory ? "/dev/shm" : std::filesystem::temp_directory_path());
    const auto file = folder / "large.meet";
    meet::State state = bench::make_large_meet(file, {bench::kAthletes / part});
    const auto copy = kFolder / (std::to_string(part) + ".meet");
    std::filesystem::copy_file(file, copy);
    return made.emplace(part, Made{copy, std::move(state)}).first->second;
}

store::MeetFile opened(const Made& made, bool read_only) {
    store::OpenOptions options;
    options.read_only = read_only;
    auto file = store::MeetFile::open(made.file, options);
    demand(file.ok(), file.ok() ? "" : file.error().text());
    return std::move(*file);
}

void add_size(benchmark::State& state, const meet::State& meet) {
    state.counters["runs"] = static_cast<double>(meet.runs().size());
    state.counters["marks"] = static_cast<double>(meet.marks().size());
}

double resident_mib() {
    std::ifstream status("/proc/self/statm");
    double whole = 0, resident = 0;
    status >> whole >> resident;
    return resident * static_cast<double>(::sysconf(_SC_PAGESIZE)) / (1024.0 * 1024.0);
}

void opening(benchmark::State& state, bool read_only) {
    const Made& made = meet_of(state.range(0));
    demand(opened(made, read_only).loaded() == made.state, "the file does not hold what was written");
    ::malloc_trim(0);
    const double before = resident_mib();
    double held = 0;
    for (auto _ : state) {
        std::optional<store::MeetFile> file = opened(made, read_only);
        state.PauseTiming();  // closing it is not opening it
        held = resident_mib() - before;
        file.reset();
        state.ResumeTiming();
    }
    add_size(state, made.state);
    state.counters["MiB_file"] = static_cast<double>(std::filesystem::file_size(made.file)) / 1048576.0;
    state.counters["MiB_held"] = held;
}
void opening_to_read(benchmark::State& state) {
    opening(state, true);
}
void opening_to_write(benchmark::State& state) {
    opening(state, false);
}

/// The window's own way: the session with its first run, until that is there to draw.
void opening_a_session(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    for (auto _ : state) {
        auto session = review::Session::open(made.file, {});
        demand(session.ok() && !(*session)->state().runs().empty(), "the session does not open");
        state.PauseTiming();
        session->reset();
        state.ResumeTiming();
    }
    add_size(state, made.state);
}

void verifying(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    for (auto _ : state) {
        const auto report = store::verify_chain(made.file);
        demand(report.ok() && report->whole, "the chain is not whole");
    }
    add_size(state, made.state);
}

void standings_of_all(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    std::size_t lines = 0;
    for (auto _ : state) {
        std::optional<review::MeetCourses> courses(made.state);
        std::optional document = review::standings_document(made.state, *courses);
        state.PauseTiming();
        lines = 0;
        for (const auto& table : document->tables)
            lines += table.lines.size();
        document.reset();
        courses.reset();
        state.ResumeTiming();
    }
    demand(lines == made.state.entries().size(), "the standings leave entries out");
    add_size(state, made.state);
}

/// One division in one round, as the window shows it.
void standings_of_one(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    for (auto _ : state) {
        review::MeetCourses courses(made.state);
        const auto document = review::standings_document(made.state, courses, {{{1}}, {{1}}});
        demand(document.tables.size() == 1 && !document.tables.front().lines.empty(),
               "there are no standings of the first division");
    }
    add_size(state, made.state);
}

/// The list of appeals that wait, with their deadlines, where none of them is decided yet.
void appeals_that_wait(benchmark::State& state) {
    meet::State now = meet_of(state.range(0)).state;
    meet::Change undecided;
    for (const auto& [id, decision] : now.decisions())
        undecided.edits.push_back({decision, std::nullopt});
    demand(now.apply(undecided).ok(), "the decisions cannot be taken back");
    std::size_t waiting = 0;
    for (auto _ : state)
        waiting = meet::waiting_appeals(now).size();
    demand(waiting > 0 && waiting == now.appeals().size(), "no appeal waits");
    add_size(state, now);
    state.counters["appeals"] = static_cast<double>(waiting);
}

/// A call of the floor's judge: the change made of it and applied.
void a_call_from_the_floor(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    meet::State now = made.state;
    review::MeetCourses courses(made.state);
    std::int64_t entry = 0;
    for (auto _ : state) {
        entry = entry % std::ssize(now.entries()) + 1;
        const course::CourseBook* book = courses.of(now.runs().at({entry}));
        const std::string& station = book->stations.front().key;
        const meet::FloorCall* before = meet::call_at(now, {entry}, station);
        meet::FloorLine line;
        line.entry = {entry};
        line.calls[station] = before->call == meet::Call::clear ? meet::Call::fail : meet::Call::clear;
        const auto change = meet::floor_change(now, *book, line);
        demand(change.ok() && now.apply(*change).ok(), "a call does not apply");
    }
    add_size(state, now);
}

/// A mark in the open session, until the new state is there to be drawn.
void a_mark_in_the_session(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    auto session = review::Session::open(made.file, {});
    demand(session.ok(), "the session does not open");
    meet::Mark mark = (*session)->state().marks().begin()->second;
    for (auto _ : state) {
        mark.id = {(*session)->state().next_id(meet::Kind::mark)};
        demand((*session)->apply({"mark", {{std::nullopt, mark}}, 0}).ok(), "a mark does not apply");
        state.PauseTiming();
        demand((*session)->flush().ok(), "a mark is not written");
        state.ResumeTiming();
    }
    add_size(state, made.state);
}

/// The same change in the file, until it is on the disk for good.
void a_change_until_it_is_confirmed(benchmark::State& state) {
    const Made& made = meet_of(state.range(0));
    store::MeetFile file = opened(made, false);
    meet::Mark mark = file.loaded().marks().begin()->second;
    mark.id = {file.loaded().next_id(meet::Kind::mark)};
    for (auto _ : state) {
        file.submit({"mark", {{std::nullopt, mark}}, 0});
        demand(file.flush().ok(), "a mark is not written");
        mark.id.value++;
    }
    add_size(state, made.state);
}

void parts(benchmark::internal::Benchmark* benchmark) {
    benchmark->ArgName("part")->Arg(16)->Arg(4)->Arg(1)->Unit(benchmark::kMillisecond)->UseRealTime();
}
BENCHMARK(opening_to_read)->Apply(parts);
BENCHMARK(opening_to_write)->Apply(parts);
BENCHMARK(opening_a_session)->Apply(parts);
BENCHMARK(standings_of_all)->Apply(parts);
BENCHMARK(standings_of_one)->Apply(parts);
BENCHMARK(appeals_that_wait)->Apply(parts);
BENCHMARK(a_call_from_the_floor)->Apply(parts);
// A set number of times, since each waits for the disk.
BENCHMARK(a_mark_in_the_session)->Apply(parts)->Iterations(40);
BENCHMARK(a_change_until_it_is_confirmed)->Apply(parts)->Iterations(40);
BENCHMARK(verifying)->Apply(parts);

}  // namespace

BENCHMARK_MAIN();
