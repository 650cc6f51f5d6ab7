#include "ruling/internal/explain.h"

#include <algorithm>
#include <set>

#include "base/worded.h"
#include "ruling/internal/appeal.h"
#include "ruling/internal/contradiction.h"
#include "ruling/internal/sentences.h"
#include "ruling/internal/settle.h"
#include "ruling/internal/support.h"

namespace plumbmark::ruling {
namespace {

/// States that all explanations of one ruling may look at together: about a second.
constexpr std::int64_t kAllExplanations = 30'000;
constexpr std::int64_t kOneContradiction = 150'000;

/// What the station brings in the format in which every station counts.
std::int32_t points_of(const Decision& decision, const course::Station& station) {
    return decision.outcome == Outcome::cleared ? station.points : decision.credit;
}

void add_results(const Inquiry& inquiry, RunRuling& ruling) {
    const std::vector<RunEnd>& ends = inquiry.decided.search->run_ends();
    for (const RunEnd& end : ends)
        ruling.results.push_back(end.result);
    std::sort(ruling.results.begin(), ruling.results.end());
    if (ends.size() != 1 || !inquiry.decided.prepared->durations_known) return;
    const RunEnd& end = ends.front();
    if (end.result.cleared == 0 || !end.split_low || !end.split_high) return;
    ruling.split_low = base::Duration{*end.split_low};
    ruling.split_high = base::Duration{*end.split_high};
}

/// The completion of the last clear, where every world clears the same stations.
void add_split(RunRuling& ruling) {
    if (ruling.results.size() != 1) return;
    for (const StationRuling& station : ruling.stations) {
        if (station.verdict == Verdict::not_shown || station.if_reached) return;
    }
    for (const StationRuling& station : ruling.stations) {
        if (station.verdict == Verdict::clear) ruling.split = station.decided_at;
    }
}

void add_clauses(const BareVerdict& bare, StationRuling& station) {
    for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
        if (bare.failing_clauses >> c & 1U) station.failing_clauses.push_back(static_cast<Clause>(c));
    }
    if (bare.verdict == Verdict::clear) station.deciding_clause = Clause::landing;
    if (bare.verdict == Verdict::fail && !station.failing_clauses.empty())
        station.deciding_clause = station.failing_clauses.front();
}

void add_points(const Inquiry& inquiry, std::size_t k, StationRuling& station) {
    if (inquiry.book.format != course::Format::every_station_counts) return;
    std::set<std::int32_t> points;
    for (const Ending& ending : inquiry.decided.endings) {
        const Decision& decision = ending.stations[k];
        if (decision.outcome != Outcome::not_reached)
            points.insert(points_of(decision, inquiry.book.stations[k]));
    }
    station.points.assign(points.begin(), points.end());
}

void add_deciding(const Inquiry& inquiry, std::size_t k, StationRuling& station) {
    if (inquiry.settings.sentences) station.begins_at = begins_at(inquiry, k);
    if (!is_shown(station.verdict)) return;
    const std::optional<std::size_t> mark = deciding_mark(inquiry, k);
    if (!mark) return;
    station.deciding_mark = inquiry.evidence.marks[*mark].id;
    station.decided_at = shown_of(inquiry.evidence.marks[*mark]);
}

void add_support(const Inquiry& inquiry, std::size_t k, StationRuling& station) {
    const std::optional<Kept> kept = rests_on(inquiry, k);
    if (!kept) return;
    for (std::size_t item = 0; item < kept->size(); ++item) {
        if ((*kept)[item]) station.rests_on.push_back(item_id(inquiry.evidence, item));
    }
    station.margin = margin_of(inquiry, k, *kept);
}

StationRuling explain(const Inquiry& inquiry, std::size_t k, const std::vector<StationRuling>& before) {
    const BareVerdict& bare = inquiry.decided.stations[k];
    StationRuling station;
    station.station = course::StationId{static_cast<std::int64_t>(k)};
    station.verdict = bare.verdict;
    station.if_reached = bare.if_reached;
    add_clauses(bare, station);
    add_points(inquiry, k, station);
    add_deciding(inquiry, k, station);
    if (!inquiry.settings.sentences) return station;
    station.clauses = findings_of(inquiry, k);
    bool tried_to_settle = false;
    const bool wanted = inquiry.settings.explain;
    if (wanted && is_shown(bare.verdict)) add_support(inquiry, k, station);
    if (wanted && bare.verdict == Verdict::not_shown) {
        station.worlds = worlds_of(inquiry, k);
        Settling settling = settle(inquiry, k);
        station.settle = std::move(settling.steps);
        tried_to_settle = settling.tried_all;
    }
    station.sentence = station_sentence(inquiry, station, before, tried_to_settle);
    return station;
}

base::Error refusal(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                    const Words& words, const base::Error& error) {
    Work work(kOneContradiction);
    if (error.category == base::Category::contradiction && settings.explain)
        return contradiction_of(course, evidence, settings, words, work);
    if (error.category == base::Category::too_tangled) return tangle_of(course, evidence, settings, words);
    return error;
}

RunRuling explained(const Inquiry& inquiry) {
    RunRuling ruling;
    for (std::size_t k = 0; k < inquiry.book.stations.size(); ++k) {
        const auto left = static_cast<std::int64_t>(inquiry.book.stations.size() - k);
        Work part = inquiry.work.part(left);
        const Inquiry of_station{
            inquiry.course, inquiry.book, inquiry.evidence, inquiry.settings, inquiry.decided,
            inquiry.words,  part};
        ruling.stations.push_back(explain(of_station, k, ruling.stations));
        inquiry.work.take_back(part, left);
    }
    ruling.work = inquiry.decided.work;
    add_results(inquiry, ruling);
    add_split(ruling);
    if (inquiry.settings.sentences) ruling.sentence = run_sentence(inquiry, ruling);
    return ruling;
}

base::Result<RunRuling> rule_whole(const CoursePtr& course, const Evidence& evidence, const Calls& calls,
                                   const Settings& settings) {
    const course::CourseBook& book = course->book();
    const Words words(book, evidence);
    base::Result<Decided> decided = decide_as_called(course, evidence, settings, calls);
    if (!decided) return refusal(course, evidence, settings, words, decided.error());
    const std::size_t appealed = calls.clear.size();
    if (appealed > 0 && decided->stations[appealed].verdict == Verdict::not_shown) {
        const Calls by_seen = with_seen_completion(course, evidence, settings, calls, *decided);
        Work once(settings.budget_states, by_seen);
        auto again = once.rule(course, evidence, settings, settings.budget_states);
        if (again && again->ok()) {
            Work work(kAllExplanations, by_seen);
            return explained({course, book, evidence, settings, **again, words, work});
        }
    }
    Work work(kAllExplanations, calls);
    return explained({course, book, evidence, settings, *decided, words, work});
}

}  // namespace

base::Result<RunRuling> rule_and_explain(const CoursePtr& course, const Evidence& evidence,
                                         const Calls& calls, const Settings& settings) {
    base::Result<RunRuling> ruled = rule_whole(course, evidence, calls, settings);
    // What was being explained when the stop came has been cut short; nobody shall read it as the ruling.
    if (settings.stopped && settings.stopped())
        return base::Error{base::Category::cancelled, base::worded("The ruling was stopped."), ""};
    return ruled;
}

}  // namespace plumbmark::ruling
