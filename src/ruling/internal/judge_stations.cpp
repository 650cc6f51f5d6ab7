// The automaton between stations: waiting, setting off, beginning and ending.
#include <algorithm>

#include "ruling/internal/judge.h"

namespace plumbmark::ruling {

using course::Part;

bool Judge::has_stood(std::size_t station) {
    if (world_.stood >> station & 1U) return true;
    std::vector<PairIndex> unwatched;
    for (const PairIndex pair : roles_.station(station).on_start) {
        if (world_.on_known[pair]) continue;
        if (!watch_.covered || !(*watch_.covered)[pair]) {
            unwatched.push_back(pair);
        } else if (on(pair)) {
            world_.stood |= 1U << station;
            return true;
        }
    }
    if (unwatched.empty()) return false;
    // Where nobody watches, a part may have stood there and be gone again; else none is there now.
    if (choices_.choose()) {
        world_.stood |= 1U << station;
        return true;
    }
    for (const PairIndex pair : unwatched)
        set_on(pair, false);
    return false;
}

void Judge::touch_waiting(Part part, SurfaceClass surface, Grade grade) {
    for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
        const Role& role = roles_.role(k, surface);
        if (!role.sets_off() || !has_stood(k)) continue;
        if (!set_off_from_waiting(k)) return;
        return touch_under_way(part, surface, grade);
    }
    for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
        if (!roles_.role(k, surface).start) continue;
        world_.stood |= 1U << k;
        if (k == world_.at) world_.touched_unbegun = false;
    }
    const Role& role = roles_.role(world_.at, surface);
    if (world_.stood >> world_.at & 1U) return;
    if (role.landing && world_.touched_unbegun) return fail_here(clause_bit(Clause::start));
    if (role.item >= 0) world_.touched_unbegun = true;
}

void Judge::release_waiting(SurfaceClass surface) {
    for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
        const StationRoles& station = roles_.station(k);
        if (!roles_.role(k, surface).start || station.station->step_down_allowed) continue;
        world_.stood |= 1U << k;
        if (any_on(station.on_start)) continue;
        if (set_off_from_waiting(k)) check_landing();
        return;
    }
}

bool Judge::set_off_from_waiting(std::size_t station) {
    const bool retry = world_.retrying && station == world_.at;
    const std::uint8_t attempts = world_.attempts;
    const std::uint8_t running = world_.running;
    const std::int32_t credit = world_.credit;
    for (std::size_t k = world_.at; k < station; ++k) {
        decide(k, Outcome::failed, clause_bit(Clause::start));
        if (first_fail_ends()) {
            end_run_after(k);
            return false;
        }
    }
    begin(station);
    world_.stood |= 1U << station;
    if (retry) {
        world_.attempts = attempts;
        world_.running = running;
        world_.credit = credit;
        // A new attempt begins with its items unused, whatever is still held.
        world_.touched = 0;
        world_.item_touched = world_.clear_of_start = false;
    } else {
        stop(kStationCap);
    }
    return set_off();
}

void Judge::wait_for(std::size_t station, bool retrying) {
    clear_attempt();
    world_.at = static_cast<std::uint8_t>(station);
    world_.retrying = retrying;
    if (!retrying) world_.credit = 0;
    world_.touched_unbegun = false;
    world_.stood = 0;
    if (station >= roles_.station_count()) {
        world_.phase = Phase::after_last;
        return;
    }
    world_.phase = Phase::waiting;
    for (std::size_t k = station; k < roles_.station_count(); ++k) {
        for (const PairIndex pair : roles_.station(k).on_start) {
            if (world_.on[pair]) world_.stood |= 1U << k;
        }
    }
}

void Judge::clear_attempt() {
    world_.set_off = world_.holding = world_.item_touched = world_.clear_of_start = false;
    world_.crossed = 0;
    world_.touched = world_.left = 0;
    world_.attempts = 0;
}

void Judge::begin(std::size_t station) {
    clear_attempt();
    world_.phase = Phase::under_way;
    world_.at = static_cast<std::uint8_t>(station);
    world_.retrying = false;
    world_.credit = 0;
    world_.touched_unbegun = false;
    world_.stood = 0;
    for (const PairIndex pair : here().on_start) {
        if (world_.on[pair]) world_.stood |= 1U << station;
    }
    for (std::size_t i = 0; i < here().items.size(); ++i) {
        if (!use_matters(static_cast<int>(i)) || !any_on(here().items[i].allowed)) continue;
        world_.touched |= std::uint64_t{1} << i;
        reach(here().roles[here().items[i].surface].credit);
    }
    world_.item_touched = world_.touched != 0;
    // Any item that is held, even one that nothing else depends on, makes a return to the start end an
    // attempt.
    if (!world_.item_touched && here().return_ends_attempt) {
        world_.item_touched = std::any_of(here().items.begin(), here().items.end(),
                                          [this](const ItemRoles& item) { return any_on(item.allowed); });
    }
    if (world_.item_touched) world_.clear_of_start = !any_on(here().on_start);
}

bool Judge::use_matters(int item) const {
    const StationRoles& station = here();
    if (station.items[static_cast<std::size_t>(item)].required ||
        station.items[static_cast<std::size_t>(item)].once ||
        station.roles[station.items[static_cast<std::size_t>(item)].surface].credit > 0)
        return true;
    const bool awaited = std::any_of(station.items.begin(), station.items.end(),
                                     [item](const ItemRoles& other) { return other.after == item; });
    return awaited || std::any_of(station.rows.begin(), station.rows.end(), [item](const RowRoles& row) {
               return std::find(row.members.begin(), row.members.end(), item) != row.members.end();
           });
}

void Judge::fail_here(std::uint16_t clauses) {
    const std::size_t station = world_.at;
    decide(station, Outcome::failed, clauses);
    stop(kHold | kStationCap | kRest);
    if (first_fail_ends()) return end_run_after(station);
    wait_for(station + 1, false);
}

void Judge::decide(std::size_t station, Outcome outcome, std::uint16_t clauses) {
    const bool begun = station == world_.at && (outcome == Outcome::failed || outcome == Outcome::open);
    const Decision decision{outcome, clauses, mark_, begun ? world_.credit : 0};
    decided_.push_back({static_cast<std::uint16_t>(station), decision});
    if (outcome == Outcome::cleared) ++world_.cleared;
    if (roles_.book().format == course::Format::every_station_counts)
        world_.points +=
            outcome == Outcome::cleared ? roles_.station(station).station->points : decision.credit;
}

void Judge::end_run_after(std::size_t station) {
    world_.at = static_cast<std::uint8_t>(station + 1);
    end_run(0);
}

void Judge::decide_rest(Outcome begun_one, std::uint16_t clauses) {
    if (world_.phase == Phase::ended) return;
    const bool begun = world_.phase == Phase::under_way || world_.retrying;
    for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
        const bool is_begun = begun && k == world_.at;
        decide(k, is_begun ? begun_one : Outcome::not_reached, is_begun ? clauses : std::uint16_t{0});
    }
}

void Judge::end_run(std::uint16_t clauses) {
    if (world_.phase == Phase::ended) return;
    decide_rest(clauses != 0 ? Outcome::failed : Outcome::not_reached, clauses);
    clear_attempt();
    world_.credit = 0;
    world_.phase = Phase::ended;
    world_.at = 0;  // all ends are alike
    world_.running = 0;
    world_.stood = 0;
    world_.retrying = world_.touched_unbegun = false;
}

void Judge::start(Deadline deadline) {
    world_.running |= deadline;
    clocks_.start |= deadline;
}

}  // namespace plumbmark::ruling
