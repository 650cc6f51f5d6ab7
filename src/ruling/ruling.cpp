#include "ruling/ruling.h"

#include <algorithm>
#include <set>

#include "ruling/internal/decide.h"

namespace plumbmark::ruling {

const char* verdict_words(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return "CLEAR";
        case Verdict::fail:
            return "FAIL";
        case Verdict::not_shown:
            return "NOT SHOWN";
        case Verdict::not_reached:
            return "NOT REACHED";
    }
    return "";
}

const char* verdict_key(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return "clear";
        case Verdict::fail:
            return "fail";
        case Verdict::not_shown:
            return "not_shown";
        case Verdict::not_reached:
            return "not_reached";
    }
    return "";
}

const char* clause_key(Clause clause) {
    switch (clause) {
        case Clause::start:
            return "start";
        case Clause::out_of_play:
            return "out_of_play";
        case Clause::part:
            return "part";
        case Clause::order:
            return "order";
        case Clause::once:
            return "once";
        case Clause::hands_down:
            return "hands_down";
        case Clause::attempt:
            return "attempt";
        case Clause::cap:
            return "cap";
        case Clause::infraction:
            return "infraction";
        case Clause::landing:
            return "landing";
        case Clause::run_ended:
            return "run_ended";
    }
    return "";
}

const char* clause_words(Clause clause) {
    switch (clause) {
        case Clause::start:
            return "start";
        case Clause::out_of_play:
            return "nothing out of play";
        case Clause::part:
            return "items by their parts only";
        case Clause::order:
            return "items in order";
        case Clause::once:
            return "items once";
        case Clause::hands_down:
            return "no hands down";
        case Clause::attempt:
            return "attempts";
        case Clause::cap:
            return "time caps";
        case Clause::infraction:
            return "no infraction";
        case Clause::landing:
            return "landing";
        case Clause::run_ended:
            return "completed before the run ended";
    }
    return "";
}

namespace {

RunResult result_of(const Ending& ending, const course::CourseBook& book) {
    RunResult result;
    for (std::size_t k = 0; k < book.stations.size(); ++k)
        result.cleared += ending.world.stations[k].outcome == Outcome::cleared ? 1 : 0;
    const bool all = static_cast<std::size_t>(result.cleared) == book.stations.size();
    result.full_clear = all && (!book.finish.required || ending.world.finished);
    return result;
}

void add_run(const course::CourseBook& book, const Decided& decided, bool durations_known,
             RunRuling& ruling) {
    std::set<RunResult> results;
    bool bounded = durations_known;
    for (const Ending& ending : decided.endings.endings) {
        const RunResult result = result_of(ending, book);
        results.insert(result);
        if (result.cleared == 0 || !ending.split_low || !ending.split_high) bounded = false;
    }
    ruling.results.assign(results.begin(), results.end());
    if (!bounded || results.size() != 1) return;
    for (const Ending& ending : decided.endings.endings) {
        const base::Duration low{*ending.split_low};
        const base::Duration high{*ending.split_high};
        ruling.split_low = ruling.split_low ? std::min(*ruling.split_low, low) : low;
        ruling.split_high = ruling.split_high ? std::max(*ruling.split_high, high) : high;
    }
}

}  // namespace

base::Result<RunRuling> rule_run(const course::CourseBook& book, const Evidence& evidence,
                                 const Settings& settings) {
    base::Result<Decided> decided = decide(book, evidence, settings);
    if (!decided) return decided.error();
    RunRuling ruling;
    for (std::size_t k = 0; k < book.stations.size(); ++k) {
        const BareVerdict& bare = decided->stations[k];
        StationRuling station;
        station.station = course::StationId{static_cast<std::int64_t>(k)};
        station.verdict = bare.verdict;
        station.if_reached = bare.if_reached;
        for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
            if (bare.failing_clauses >> c & 1U) station.failing_clauses.push_back(static_cast<Clause>(c));
        }
        ruling.stations.push_back(std::move(station));
    }
    add_run(book, *decided, decided->prepared->durations_known, ruling);
    return ruling;
}

}  // namespace plumbmark::ruling
