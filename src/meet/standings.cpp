#include "meet/standings.h"

#include <algorithm>
#include <tuple>

#include "meet/appeals.h"

namespace plumbmark::meet {
namespace {

bool is_open(const Appeal& appeal) {
    return appeal.status == AppealStatus::lodged;
}

std::int32_t points_of(const course::Station& station, const StationResult& result, const FloorCall* call) {
    if (result.call == Call::clear) return static_cast<std::int32_t>(station.points);
    return call != nullptr ? call->points.value_or(0) : 0;
}

LineStatus status_of(EntryStatus status) {
    switch (status) {
        case EntryStatus::not_started:
            return LineStatus::not_started;
        case EntryStatus::withdrawn:
            return LineStatus::withdrawn;
        case EntryStatus::disqualified:
            return LineStatus::disqualified;
        case EntryStatus::entered:
            break;
    }
    return LineStatus::awaited;
}

TimeRange rounded(const TimeRange& range, const TimeForm& form) {
    return {rounded(range.from, form), rounded(range.to, form)};
}

/// Those with a place first, then by what became of the others; the same place by start number.
void sort_as_listed(const State& state, std::vector<Line>& lines) {
    using Key = std::tuple<LineStatus, std::size_t, std::int32_t, std::int32_t, std::int64_t>;
    std::vector<std::pair<Key, std::size_t>> order;
    order.reserve(lines.size());
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const Line& line = lines[i];
        const Entry& entry = state.entries().at(line.entry);
        const std::size_t place = line.status == LineStatus::placed ? line.placing.place : 0;
        order.push_back({{line.status, place, entry.heat, entry.start, entry.id.value}, i});
    }
    std::sort(order.begin(), order.end());
    std::vector<Line> sorted;
    sorted.reserve(lines.size());
    for (const auto& [key, index] : order)
        sorted.push_back(std::move(lines[index]));
    lines = std::move(sorted);
}

}  // namespace

Results::Results(const State& state, Sources sources) : state_(state), sources_(std::move(sources)) {
    // Of several on one appeal the last one holds.
    for (const auto& [id, decision] : state.decisions())
        decision_on_[decision.appeal] = &decision;
}

const Results::EntriesByTable& Results::entries() const {
    if (entries_) return *entries_;
    entries_.emplace();
    std::map<std::string, DivisionId> divisions;
    for (const auto& [id, division] : state_.divisions())
        divisions.emplace(division.key, id);
    for (const auto& [id, entry] : state_.entries()) {
        const auto division = divisions.find(state_.athletes().at(entry.athlete).division);
        if (division != divisions.end()) (*entries_)[{entry.round, division->second}].push_back(&entry);
    }
    return *entries_;
}

const RunResult& Results::of(const Run& run) const {
    const auto known = results_.find(run.id);
    if (known != results_.end()) return known->second;
    return results_.emplace(run.id, work_out(run)).first->second;
}

RunResult Results::work_out(const Run& run) const {
    RunResult result;
    const course::CourseBook* book = sources_.course(run);
    if (book == nullptr) return result;
    add_stations(result, run, *book);
    add_time(result, run, *book);
    return result;
}

void Results::add_stations(RunResult& result, const Run& run, const course::CourseBook& book) const {
    const bool first_fail_ends = book.format == course::Format::first_fail_ends;
    bool ended = false;
    result.complete = true;
    result.stations.reserve(book.stations.size());
    for (const course::Station& station : book.stations) {
        StationResult its{station.key, {}, false, false};
        const FloorCall* given = call_at(state_, run.id, station.key);
        if (given != nullptr) its.call = given->call;
        for (const Appeal& appeal : state_.appeals_of(run.id)) {
            if (appeal.station != station.key || !is_open(appeal)) continue;
            const auto decision = decision_on_.find(appeal.id);
            if (decision == decision_on_.end()) {
                its.under_appeal = true;
                continue;
            }
            its.decided = true;
            if (decision->second->outcome == Outcome::rerun)
                result.rerun_granted = true;
            else
                its.call = decision->second->call;
        }
        if (its.under_appeal) result.complete = false;
        if (!ended) {
            if (!its.call) result.complete = false;
            if (its.call == Call::clear) ++result.score.cleared;
            result.score.points += points_of(station, its, given);
            ended = first_fail_ends && its.call != Call::clear;
        }
        result.stations.push_back(std::move(its));
    }
}

std::optional<base::Duration> Results::clock_time(const Run& run, const std::string& station) const {
    std::optional<base::Duration> time;
    for (const ClockTime& one : state_.clock_times_of(run.id)) {
        if (one.station != station) continue;
        const base::Result<base::Duration> read = combined(one.watches, state_.rules().times);
        if (read) time = rounded(*read, state_.rules().times);
    }
    return time;
}

void Results::add_time(RunResult& result, const Run& run, const course::CourseBook& book) const {
    const auto clear = [](const StationResult& station) { return station.call == Call::clear; };
    // Where the first fail ends the run, what was called after it does not count.
    const auto end = book.format == course::Format::first_fail_ends
                         ? std::find_if_not(result.stations.begin(), result.stations.end(), clear)
                         : result.stations.end();
    const auto last = std::find_if(std::make_reverse_iterator(end), result.stations.rend(), clear);
    if (last == result.stations.rend()) return;
    const bool all = result.score.cleared == static_cast<std::int32_t>(book.stations.size());
    std::optional<base::Duration> clock;
    if (all) clock = clock_time(run, "");
    if (!clock) clock = clock_time(run, last->station);
    if (clock) {
        result.score.time = TimeRange{*clock, *clock};
        return;
    }
    if (!sources_.footage_time) return;
    const std::optional<TimeRange> footage = sources_.footage_time(run);
    if (!footage) return;
    result.score.time = rounded(*footage, state_.rules().times);
    result.from_footage = true;
}

Results::Counting Results::counting_run(EntryId entry) const {
    std::vector<const Run*> runs;
    for (const Run& run : state_.runs_of(entry))
        runs.push_back(&run);
    if (runs.empty()) return {};
    std::vector<const Run*> candidates;
    Counting counting;
    for (const Run* run : runs) {
        const bool repeated = std::any_of(runs.begin(), runs.end(),
                                          [&](const Run* other) { return other->rerun_of == run->id; });
        counting.rerun_due |= of(*run).rerun_granted && !repeated;
        if (!repeated || state_.rules().rerun == Rerun::better) candidates.push_back(run);
    }
    std::vector<Score> scores;
    for (const Run* run : candidates)
        scores.push_back(of(*run).score);
    counting.run = candidates.at(best_of(scores, state_.rules().order));
    return counting;
}

const Run* Results::only_run(EntryId entry) const {
    const auto runs = state_.runs_of(entry);
    auto run = runs.begin();
    if (run == runs.end()) return nullptr;
    const Run& first = *run;
    ++run;
    return run == runs.end() ? &first : nullptr;
}

Line Results::line_of(const Entry& entry) const {
    Line line;
    line.entry = entry.id;
    line.status = status_of(entry.status);
    bool rerun_due = false;
    if (const Run* only = only_run(entry.id)) {
        // As most have it: a result that nothing else is held against need not be kept.
        line.run = only->id;
        line.result = work_out(*only);
        rerun_due = line.result.rerun_granted;
    } else {
        const Counting counting = counting_run(entry.id);
        if (counting.run == nullptr) return line;
        line.run = counting.run->id;
        line.result = of(*counting.run);
        rerun_due = counting.rerun_due;
    }
    if (rerun_due) line.result.complete = false;
    const bool called = std::any_of(line.result.stations.begin(), line.result.stations.end(),
                                    [](const StationResult& station) { return station.call.has_value(); });
    if (line.status == LineStatus::awaited && called) line.status = LineStatus::placed;
    return line;
}

/// The place in the round before, and behind it those of still earlier rounds.
void Results::add_tie_breaks(std::vector<Line>& lines, const Round& round, DivisionId division) const {
    const Round* before = nullptr;
    for (const auto& [id, other] : state_.rounds()) {
        if (other.number < round.number && (before == nullptr || other.number > before->number))
            before = &other;
    }
    if (before == nullptr) return;
    std::map<AthleteId, std::int64_t> places;
    for (const Line& line : standings(before->id, division).lines) {
        if (line.status == LineStatus::placed)
            places[state_.entries().at(line.entry).athlete] = static_cast<std::int64_t>(line.placing.place);
    }
    for (Line& line : lines) {
        const auto place = places.find(state_.entries().at(line.entry).athlete);
        if (place != places.end()) line.result.score.tie_break = {place->second};
    }
}

const Standings& Results::standings(RoundId round, DivisionId division) const {
    const std::pair key(round, division);
    const auto known = standings_.find(key);
    if (known != standings_.end()) return known->second;
    return standings_.emplace(key, placed(round, division)).first->second;
}

Standings Results::placed(RoundId round, DivisionId division) const {
    Standings result{round, division, {}, true};
    const auto its = entries().find({round, division});
    if (its == entries().end()) return result;
    result.lines.reserve(its->second.size());
    for (const Entry* entry : its->second)
        result.lines.push_back(line_of(*entry));
    if (state_.rules().tie_break == TieBreak::round_before)
        add_tie_breaks(result.lines, state_.rounds().at(round), division);
    const auto first_unplaced =
        std::stable_partition(result.lines.begin(), result.lines.end(),
                              [](const Line& line) { return line.status == LineStatus::placed; });
    std::vector<Score> scores;
    for (auto line = result.lines.begin(); line != first_unplaced; ++line)
        scores.push_back(line->result.score);
    const std::vector<Placing> places = placings(scores, state_.rules().order);
    for (std::size_t i = 0; i < places.size(); ++i)
        result.lines[i].placing = places[i];
    sort_as_listed(state_, result.lines);
    result.final = std::all_of(result.lines.begin(), result.lines.end(), [](const Line& line) {
        return line.status == LineStatus::placed ? line.result.complete : line.status != LineStatus::awaited;
    });
    return result;
}

std::vector<std::pair<RoundId, DivisionId>> Results::tables() const {
    std::vector<std::pair<RoundId, DivisionId>> keys;
    for (const auto& [key, its] : entries())
        keys.push_back(key);
    std::sort(keys.begin(), keys.end(), [&](const auto& a, const auto& b) {
        const auto order = [&](const auto& key) {
            return std::tuple(state_.rounds().at(key.first).number, state_.divisions().at(key.second).key);
        };
        return order(a) < order(b);
    });
    return keys;
}

std::vector<Standings> Results::all() const {
    std::vector<Standings> result;
    for (const auto& [round, division] : tables())
        result.push_back(standings(round, division));
    return result;
}

std::string range_text(const TimeRange& range, base::Duration unit) {
    const std::string from = time_text(range.from, unit);
    return range.is_exact() ? from : from + " to " + time_text(range.to, unit);
}

std::vector<PublishedLine> published_lines(const Standings& standings, const TimeForm& form) {
    static const std::map<LineStatus, EntryStatus> kStatus{
        {LineStatus::placed, EntryStatus::entered},
        {LineStatus::awaited, EntryStatus::entered},
        {LineStatus::not_started, EntryStatus::not_started},
        {LineStatus::withdrawn, EntryStatus::withdrawn},
        {LineStatus::disqualified, EntryStatus::disqualified}};
    std::vector<PublishedLine> lines;
    for (const Line& line : standings.lines) {
        PublishedLine one;
        one.entry = line.entry;
        one.status = kStatus.at(line.status);
        if (line.status == LineStatus::placed) {
            const Score& score = line.result.score;
            one.place = static_cast<std::int32_t>(line.placing.place);
            one.cleared = score.cleared;
            one.points = score.points;
            if (score.time) one.time = range_text(*score.time, form.unit);
        }
        lines.push_back(std::move(one));
    }
    return lines;
}

std::vector<Move> moves(const std::vector<PublishedLine>& before, const std::vector<PublishedLine>& after) {
    std::map<EntryId, const PublishedLine*> were;
    for (const PublishedLine& line : before)
        were.emplace(line.entry, &line);
    std::vector<Move> result;
    for (const PublishedLine& now : after) {
        const auto found = were.find(now.entry);
        if (found == were.end()) {
            result.push_back({now.entry, {}, now.place, MoveCause::came});
            continue;
        }
        PublishedLine was = *found->second;
        were.erase(found);
        const std::optional<std::int32_t> from = was.place;
        if (was == now) continue;
        was.place = now.place;
        result.push_back(
            {now.entry, from, now.place, was == now ? MoveCause::others : MoveCause::own_result});
    }
    for (const PublishedLine& line : before) {
        if (were.contains(line.entry)) result.push_back({line.entry, line.place, {}, MoveCause::went});
    }
    return result;
}

}  // namespace plumbmark::meet
