#include "oracle/known.h"

#include <algorithm>

namespace plumbmark::oracle {

Known::Known(const Case& review)
    : review_(review),
      points_count_(review.book.format == course::Format::every_station_counts),
      met_(review.book.stations.size()) {}

std::int32_t Known::points(std::size_t station, const Ruled& ruled) const {
    if (!points_count_) return 0;
    return ruled.outcome == Outcome::cleared ? review_.book.stations[station].points : ruled.credit;
}

ruling::RunResult Known::result(const Ending& ending) const {
    ruling::RunResult made;
    for (std::size_t i = 0; i < met_.size(); ++i) {
        made.cleared += ending.stations[i].outcome == Outcome::cleared ? 1 : 0;
        made.points += points(i, ending.stations[i]);
    }
    made.full_clear = made.cleared == static_cast<std::int32_t>(met_.size()) &&
                      (ending.finished || !review_.book.finish.required);
    return made;
}

void Known::add(const Ending& ending, std::string told) {
    worlds_.emplace(ending, std::move(told));
    for (std::size_t i = 0; i < met_.size(); ++i) {
        const Ruled& ruled = ending.stations[i];
        met_[i].outcomes |= 1U << static_cast<unsigned>(ruled.outcome);
        if (ruled.outcome == Outcome::failed) met_[i].failing |= 1U << static_cast<unsigned>(ruled.clause);
        if (ruled.outcome == Outcome::failed || ruled.outcome == Outcome::open)
            met_[i].credits.insert(ruled.credit);
    }
    results_.insert(result(ending));
}

bool Known::not_shown(std::size_t station) const {
    return met(station, Outcome::open) || (met(station, Outcome::cleared) && met(station, Outcome::failed));
}

// NOT SHOWN for good, and 'if reached' decided as well.
bool Known::settled(std::size_t station, bool begun) const {
    return not_shown(station) && (met(station, Outcome::not_reached) || begun);
}

bool Known::ruled_before(std::size_t station, const Ruled& ruled) const {
    if (!met(station, ruled.outcome)) return false;
    if (ruled.outcome != Outcome::failed) return true;
    // Its clause matters as long as the station may be a shown FAIL.
    const bool same_clause = ((met_[station].failing >> static_cast<unsigned>(ruled.clause)) & 1U) != 0;
    return met_[station].credits.contains(ruled.credit) && (same_clause || not_shown(station));
}

// True when 'known' holds for all that a station which is not decided yet may bring without being cleared.
template <class Condition>
bool Known::for_all_credits(const RunState& state, std::size_t station, const Condition& known) const {
    const bool current = state.begun && static_cast<std::size_t>(state.station) == station;
    const std::int16_t so_far = current ? state.credit : std::int16_t{0};
    if (!known(so_far)) return false;
    if (!points_count_) return true;
    const std::vector<course::Checkpoint>& checkpoints = review_.book.stations[station].checkpoints;
    return std::all_of(checkpoints.begin(), checkpoints.end(), [&](const course::Checkpoint& checkpoint) {
        return checkpoint.points <= so_far || known(static_cast<std::int16_t>(checkpoint.points));
    });
}

// True when every run result is known that can come of 'so_far' and the stations from this one on.
bool Known::results_known(const RunState& state, bool control_to_come, std::size_t station,
                          ruling::RunResult so_far) const {
    const auto goes_on = [&](std::int32_t cleared, std::int32_t gained) {
        return results_known(state, control_to_come, station + 1,
                             {so_far.cleared + cleared, false, so_far.points + gained});
    };
    if (station == met_.size()) {
        const bool all = so_far.cleared == static_cast<std::int32_t>(met_.size());
        if ((!all || review_.book.finish.required) && !results_.contains(so_far)) return false;
        so_far.full_clear = true;
        return !all || results_.contains(so_far);
    }
    const Ruled& ruled = state.ruled[station];
    if (ruled.outcome != Outcome::undecided)
        return goes_on(ruled.outcome == Outcome::cleared ? 1 : 0, points(station, ruled));
    const bool may_clear = !review_.book.stations[station].landing.control || control_to_come;
    if (may_clear && !goes_on(1, points(station, {Outcome::cleared}))) return false;
    return for_all_credits(state, station, [&](std::int16_t credit) { return goes_on(0, credit); });
}

bool Known::nothing_new_from(const RunState& state, bool control_to_come) const {
    for (std::size_t i = 0; i < met_.size(); ++i) {
        if (state.ruled[i].outcome != Outcome::undecided) {
            if (!ruled_before(i, state.ruled[i])) return false;
            continue;
        }
        if (!settled(i, state.begun && static_cast<std::size_t>(state.station) == i)) return false;
        // A clear that was not met yet would add its points.
        if (points_count_ && !met(i, Outcome::cleared)) return false;
        const bool credits_known =
            for_all_credits(state, i, [&](std::int16_t credit) { return met_[i].credits.contains(credit); });
        if (!credits_known) return false;
    }
    return results_known(state, control_to_come, 0, {});
}

StationAnswer Known::station_answer(std::size_t station) const {
    using ruling::Verdict;
    const bool cleared = met(station, Outcome::cleared);
    const bool failed = met(station, Outcome::failed);
    const bool open = met(station, Outcome::open);
    const bool reached = cleared || failed || open;
    StationAnswer result;
    for (unsigned clause = 0; clause < 32; ++clause) {
        if (((met_[station].failing >> clause) & 1U) != 0)
            result.failing.insert(static_cast<ruling::Clause>(clause));
    }
    result.if_reached = reached && met(station, Outcome::not_reached);
    result.verdict = !reached                      ? Verdict::not_reached
                     : open || (cleared && failed) ? Verdict::not_shown
                     : cleared                     ? Verdict::clear
                                                   : Verdict::fail;
    if (!points_count_) return result;
    result.points.insert(met_[station].credits.begin(), met_[station].credits.end());
    if (cleared) result.points.insert(review_.book.stations[station].points);
    return result;
}

void Known::answer(Answer& answer) const {
    answer.consistent = !worlds_.empty();
    for (std::size_t i = 0; i < met_.size(); ++i)
        answer.stations.push_back(station_answer(i));
    answer.results = results_;
    answer.worlds = worlds_;
}

}  // namespace plumbmark::oracle
