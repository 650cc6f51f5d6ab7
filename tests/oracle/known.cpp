#include "oracle/known.h"

namespace plumbmark::oracle {

ruling::RunResult Known::result(const Ending& ending) const {
    ruling::RunResult made;
    for (std::size_t k = 0; k < review_.book.stations.size(); ++k) {
        if (ending.stations[k].outcome != Outcome::cleared) continue;
        ++made.cleared;
        // Random courses have no checkpoints.
        if (review_.book.format == course::Format::every_station_counts)
            made.points += review_.book.stations[k].points;
    }
    made.full_clear = made.cleared == static_cast<std::int32_t>(review_.book.stations.size()) &&
                      (ending.finished || !review_.book.finish.required);
    return made;
}

void Known::add(const Ending& ending, std::string told) {
    worlds_.emplace(ending, std::move(told));
    for (std::size_t i = 0; i < met_.size(); ++i) {
        const Ruled& ruled = ending.stations[i];
        met_[i].insert(ruled.outcome);
        if (ruled.outcome == Outcome::failed) failing_[i].insert(ruled.clause);
    }
    results_.insert(result(ending));
}

// NOT SHOWN for good, and 'if reached' decided as well.
bool Known::settled(std::size_t station, bool begun) const {
    std::set<Outcome> reached = met_[station];
    const bool unreached = reached.erase(Outcome::not_reached) > 0;
    const bool not_shown = reached.size() > 1 || reached.contains(Outcome::open);
    return not_shown && (unreached || begun);
}

bool Known::nothing_new_from(const RunState& state, bool control_to_come) const {
    std::int32_t cleared = 0;
    std::int32_t may_clear = 0;
    const std::size_t count = met_.size();
    for (std::size_t i = 0; i < count; ++i) {
        const auto [outcome, clause] = state.ruled[i];
        if (outcome == Outcome::cleared) ++cleared;
        if (outcome != Outcome::undecided) {
            if (!met_[i].contains(outcome)) return false;
            // Its clause matters as long as the station may be a shown FAIL.
            if (outcome == Outcome::failed && !settled(i, true) && !failing_[i].contains(clause))
                return false;
            continue;
        }
        if (!settled(i, state.begun && static_cast<std::size_t>(state.station) == i)) return false;
        if (!review_.book.stations[i].landing.control || control_to_come) ++may_clear;
    }
    for (std::int32_t n = cleared; n <= cleared + may_clear; ++n) {
        const bool all = n == static_cast<std::int32_t>(count);
        if ((!all || review_.book.finish.required) && !results_.contains({n, false})) return false;
        if (all && !results_.contains({n, true})) return false;
    }
    return true;
}

StationAnswer Known::station_answer(std::size_t station) const {
    StationAnswer result;
    std::set<Outcome> met = met_[station];
    result.failing = failing_[station];
    result.if_reached = met.contains(Outcome::not_reached) && met.size() > 1;
    met.erase(Outcome::not_reached);
    if (met.empty()) {
        result.verdict = ruling::Verdict::not_reached;
    } else if (met == std::set<Outcome>{Outcome::cleared}) {
        result.verdict = ruling::Verdict::clear;
    } else if (met == std::set<Outcome>{Outcome::failed}) {
        result.verdict = ruling::Verdict::fail;
    } else {
        result.verdict = ruling::Verdict::not_shown;
    }
    return result;
}

Answer Known::answer() const {
    Answer answer;
    answer.consistent = !worlds_.empty();
    for (std::size_t i = 0; i < met_.size(); ++i)
        answer.stations.push_back(station_answer(i));
    answer.results = results_;
    answer.worlds = worlds_;
    return answer;
}

}  // namespace plumbmark::oracle
