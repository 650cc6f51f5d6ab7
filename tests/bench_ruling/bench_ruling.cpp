// bench-ruling: what a ruling costs (Google Benchmark). Figures and how to repeat them: docs/figures.md,
// 'The ruling'.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <vector>

#include "bench_ruling/reviews.h"
#include "ruling/ruling.h"

namespace {

using namespace plumbmark;
using bench::Review;

/// A ruling that came out otherwise than it must measures nothing.
void demand(bool as_expected, const char* what) {
    if (as_expected) return;
    std::fprintf(stderr, "bench-ruling: %s did not come out as it must.\n", what);
    std::exit(1);
}

ruling::Settings settings(bool explain) {
    ruling::Settings made;
    made.explain = made.sentences = explain;
    return made;
}

std::int64_t cleared(const base::Result<ruling::RunRuling>& ruled) {
    return ruled.ok() && ruled->results.size() == 1 ? ruled->results.front().cleared : -1;
}

/// One review over and over; explained where the benchmark's argument says so.
void rule_again(benchmark::State& state, const Review& review, std::int64_t clears, const char* what) {
    const ruling::PreparedCourse course(review.book);
    const ruling::Settings how = settings(state.range(0) != 0);
    demand(cleared(ruling::rule_run(course, review.evidence, how)) == clears, what);
    for (auto _ : state)
        benchmark::DoNotOptimize(ruling::rule_run(course, review.evidence, how));
    state.counters["marks"] = static_cast<double>(review.evidence.marks.size());
}

void station_of_twelve_marks(benchmark::State& state) {
    rule_again(state, bench::twelve_marks(), 1, "the station of twelve marks");
}
BENCHMARK(station_of_twelve_marks)->ArgName("explained")->Arg(0)->Arg(1)->Unit(benchmark::kMicrosecond);

void six_hundred_runs_of_ten_stations(benchmark::State& state) {
    const ruling::Settings how = settings(false);
    std::vector<Review> runs;
    for (int i = 0; i < 600; ++i)
        runs.push_back(bench::run_of(10, i));
    const ruling::PreparedCourse course(runs.front().book);
    for (auto _ : state) {
        for (const Review& run : runs)
            demand(cleared(ruling::rule_run(course, run.evidence, how)) == 10, "a run of ten stations");
    }
}
BENCHMARK(six_hundred_runs_of_ten_stations)->Unit(benchmark::kMillisecond);

void two_hundred_marks_on_four_clips(benchmark::State& state) {
    rule_again(state, bench::two_hundred_marks_on_four_clips(), 22, "200 marks on four clips");
}
BENCHMARK(two_hundred_marks_on_four_clips)
    ->ArgName("explained")
    ->Arg(0)
    ->Arg(1)
    ->Unit(benchmark::kMillisecond);

void overlapping_brackets(benchmark::State& state) {
    const Review review = bench::overlapping(static_cast<int>(state.range(0)));
    const ruling::PreparedCourse course(review.book);
    const ruling::Settings how = settings(false);
    bool refused = false;
    for (auto _ : state) {
        const auto ruled = ruling::rule_run(course, review.evidence, how);
        refused = !ruled.ok() && ruled.error().category == base::Category::too_tangled;
        demand(refused || cleared(ruled) == 1, "overlapping brackets");
    }
    if (refused) state.SetLabel("refused: too tangled");
}
BENCHMARK(overlapping_brackets)->DenseRange(1, 20)->Unit(benchmark::kMicrosecond);

}  // namespace

BENCHMARK_MAIN();
