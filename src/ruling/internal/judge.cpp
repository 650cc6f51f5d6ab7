#include "ruling/internal/judge.h"

#include <algorithm>

#include "ruling/internal/foresight.h"
#include "ruling/internal/prepared.h"

namespace plumbmark::ruling {
namespace {

using course::Part;

bool is_hand(Part part) {
    return course::kHands.has(part);
}

std::uint16_t lowest(std::uint16_t clauses) {
    return static_cast<std::uint16_t>(clauses & (~clauses + 1U));
}

/// Whether touching this member of a row now would leave too many before it untouched.
bool skips_too_many(const StationRoles& station, std::uint64_t touched, int item) {
    for (const RowRoles& row : station.rows) {
        const auto member = std::find(row.members.begin(), row.members.end(), item);
        if (member == row.members.end()) continue;
        const auto skipped =
            std::count_if(row.members.begin(), member, [touched](int m) { return !(touched >> m & 1U); });
        if (skipped > row.max_skipped) return true;
    }
    return false;
}

}  // namespace

std::uint16_t broken_by_touch(const Roles& roles, const WorldState& world, Part part, SurfaceClass surface) {
    const StationRoles& station = roles.station(world.at);
    const Role& role = roles.role(world.at, surface);
    std::uint16_t clauses = 0;
    const bool in_play = role.start || role.landing || role.item >= 0;
    const bool neutral = role.previous_item && !world.set_off;
    if (!in_play && !neutral) clauses |= clause_bit(Clause::out_of_play);
    if (role.item >= 0) {
        const ItemRoles& item = station.items[static_cast<std::size_t>(role.item)];
        if (!item.parts.has(part) && !role.start && !role.landing) clauses |= clause_bit(Clause::part);
        if (item.after >= 0 && !(world.touched >> item.after & 1U)) clauses |= clause_bit(Clause::order);
        if (skips_too_many(station, world.touched, role.item)) clauses |= clause_bit(Clause::order);
        if (world.left >> role.item & 1U) clauses |= clause_bit(Clause::once);
    }
    const bool lands = role.landing && (world.set_off || !role.start);
    if (lands && station.station->landing.no_hands_down && is_hand(part))
        clauses |= clause_bit(Clause::hands_down);
    return clauses;
}

bool touch_tells(const Roles& roles, const WorldState& world, Part part, SurfaceClass surface) {
    if (world.phase == Phase::waiting) {
        // It may begin a station, or be the first to stand where one begins.
        for (std::size_t k = world.at; k < roles.station_count(); ++k) {
            const Role& role = roles.role(k, surface);
            if (role.start && !(world.stood >> k & 1U)) return true;
            if (role.sets_off()) return true;
        }
        return false;
    }
    if (roles.book().brush_counts && broken_by_touch(roles, world, part, surface) != 0) return true;
    const Role& role = roles.role(world.at, surface);
    if (!world.set_off && role.sets_off()) return true;
    if (role.start && !(world.stood >> world.at & 1U)) return true;
    if (role.start && world.clear_of_start) return true;
    if (role.credit > world.credit) return true;
    return role.item >= 0 && !(world.touched >> role.item & 1U);
}

Judge::Judge(const Roles& roles, const WorldState& before, Choices& choices, std::int16_t mark,
             const Watch& watch)
    : roles_(roles), world_(before), choices_(choices), mark_(mark), watch_(watch) {}

bool Judge::first_fail_ends() const {
    return roles_.book().format == course::Format::first_fail_ends;
}

// --- facts that may have to be chosen ---

bool Judge::on(PairIndex pair) {
    if (part_of(pair) == Part::loose && !roles_.book().loose_counts) return false;  // that is no contact
    if (!world_.on_known[pair]) {
        const std::optional<bool> told = watch_.ahead ? watch_.ahead->contact(pair) : std::nullopt;
        set_on(pair, told ? *told : choices_.choose());
        if (world_.on[pair]) note_standing(pair);
    }
    return world_.on[pair];
}

bool Judge::any_on(const std::vector<PairIndex>& pairs) {
    for (const PairIndex pair : pairs) {
        if (world_.on[pair]) return true;
    }
    // Contacts that nobody watches and that no question and no mark to come can tell apart are tried once for
    // all of them.
    std::vector<std::uint32_t> tried;
    for (const PairIndex pair : pairs) {
        if (world_.on_known[pair]) continue;
        const bool apart =
            (watch_.covered && (*watch_.covered)[pair]) || (watch_.named && (*watch_.named)[pair]);
        const std::uint32_t kind = roles_.kind_of(pair);
        if (!apart && std::find(tried.begin(), tried.end(), kind) != tried.end()) {
            set_on(pair, false);
            continue;
        }
        if (on(pair)) return true;
        if (!apart) tried.push_back(kind);
    }
    return false;
}

/// Whether one of them is on, or may be without anybody having watched it.
bool Judge::may_be_on(const std::vector<PairIndex>& pairs) const {
    return std::any_of(pairs.begin(), pairs.end(), [this](PairIndex pair) {
        if (part_of(pair) == Part::loose && !roles_.book().loose_counts) return false;
        if (world_.on_known[pair]) return world_.on[pair];
        return !watch_.covered || !(*watch_.covered)[pair];
    });
}

bool Judge::past(SideIndex side) {
    if (!world_.past_known[side]) set_past(side, choices_.choose());
    return world_.past[side];
}

bool Judge::landing_contacts() {
    const ContactWays& ways = here().landing;
    if (ways.empty()) return true;
    return std::any_of(ways.begin(), ways.end(), [this](const auto& all) {
        return std::all_of(all.begin(), all.end(), [this](const auto& any) { return any_on(any); });
    });
}

bool Judge::conditions_hold() {
    const StationRoles& station = here();
    for (std::size_t i = 0; i < station.items.size(); ++i) {
        if (station.items[i].required && !(world_.touched >> i & 1U)) return false;
    }
    for (const RowRoles& row : station.rows) {
        const auto untouched = std::count_if(row.members.begin(), row.members.end(),
                                             [this](int item) { return !(world_.touched >> item & 1U); });
        if (untouched > row.max_skipped) return false;
    }
    const std::uint32_t all_planes = (1U << station.planes.size()) - 1;
    return (world_.crossed & all_planes) == all_planes && landing_contacts();
}

void Judge::require_consistent() {
    if (world_.phase == Phase::waiting) {
        // Leaving a start surface would have set off on its station: whoever stood on one stands there still.
        for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
            const StationRoles& station = roles_.station(k);
            if ((world_.stood >> k & 1U) == 0 || station.station->step_down_allowed) continue;
            if (!any_on(station.on_start)) return choices_.refuse();
        }
    }
    if (world_.phase != Phase::under_way) return;
    if (!crossed_sides_past()) return choices_.refuse();
    const bool stands =
        !world_.set_off && (world_.stood >> world_.at & 1U) && !here().station->step_down_allowed;
    if (stands && !any_on(here().on_start)) return choices_.refuse();
    // Whoever left the start after an item was touched would be clear of it.
    const bool stays = world_.item_touched && !world_.clear_of_start;
    if (stays && !may_be_on(here().on_start) && !any_on(here().on_start)) return choices_.refuse();
    if (!once_items_held()) return choices_.refuse();
    if (world_.set_off && conditions_hold() != world_.holding) choices_.refuse();
}

/// The last part to leave an item would have left it for good: until then some part is on it.
bool Judge::once_items_held() {
    const StationRoles& station = here();
    for (std::size_t i = 0; i < station.items.size(); ++i) {
        const bool held = station.items[i].once && (world_.touched >> i & 1U) && !(world_.left >> i & 1U);
        if (held && !any_on(station.items[i].pairs)) return false;
    }
    return true;
}

/// A landing plane that was crossed and not crossed back has its crosser past it.
bool Judge::crossed_sides_past() {
    for (std::size_t i = 0; i < here().planes.size(); ++i) {
        if ((world_.crossed >> i & 1U) == 0) continue;
        const SideIndex side = roles_.side(here().planes[i].crosser, here().planes[i].plane);
        if (world_.past_known[side] && !world_.past[side]) return false;
        set_past(side, true);
    }
    return true;
}

// --- contacts and sides alone ---

void Judge::set_on(PairIndex pair, bool value) {
    world_.on_known.set(pair);
    world_.on.set(pair, value);
}

void Judge::set_past(SideIndex side, bool value) {
    world_.past_known.set(side);
    world_.past.set(side, value);
}

void Judge::set_crossed(std::size_t crosser, std::size_t plane, bool value) {
    if (world_.phase != Phase::under_way) return;
    if (crosser == kWhole && value) {
        for (const CreditPlane& checkpoint : here().credit_planes) {
            if (checkpoint.plane == plane) reach(checkpoint.points);
        }
    }
    for (std::size_t i = 0; i < here().planes.size(); ++i) {
        const PlaneNeed& need = here().planes[i];
        if (need.plane != plane || need.crosser != crosser) continue;
        world_.crossed = value ? world_.crossed | 1U << i : world_.crossed & ~(1U << i);
    }
}

// --- events ---

void Judge::touch(Part part, SurfaceClass surface, Grade grade) {
    if (part == Part::loose && !roles_.book().loose_counts) return;
    const PairIndex pair = roles_.pair(part, surface);
    if (world_.on[pair]) return choices_.refuse();
    set_on(pair, false);
    require_consistent();
    set_on(pair, true);
    if (world_.phase == Phase::under_way)
        touch_under_way(part, surface, grade);
    else if (world_.phase == Phase::waiting)
        touch_waiting(part, surface, grade);
}

void Judge::release(Part part, SurfaceClass surface) {
    if (part == Part::loose && !roles_.book().loose_counts) return;
    const PairIndex pair = roles_.pair(part, surface);
    if (world_.on_known[pair] && !world_.on[pair]) return choices_.refuse();
    set_on(pair, true);
    note_standing(pair);
    require_consistent();
    set_on(pair, false);
    if (world_.phase == Phase::under_way)
        release_under_way(surface);
    else if (world_.phase == Phase::waiting)
        release_waiting(surface);
}

void Judge::state_contact(Part part, SurfaceClass surface, bool value) {
    if (part == Part::loose && !roles_.book().loose_counts) return;
    const PairIndex pair = roles_.pair(part, surface);
    if (world_.on_known[pair]) {
        if (world_.on[pair] != value) choices_.refuse();
        return;
    }
    set_on(pair, value);
    if (value) note_standing(pair);
    require_consistent();
}

/// A part that is on a start surface while the run waits has stood there since.
void Judge::note_standing(PairIndex pair) {
    if (world_.phase != Phase::waiting) return;
    for (std::size_t k = world_.at; k < roles_.station_count(); ++k) {
        if (roles_.role(k, class_of_pair(pair)).start) world_.stood |= 1U << k;
    }
}

void Judge::vouch(const PairBits& pairs, const SideBits& sides) {
    world_.on_known |= pairs;
    world_.past_known |= sides;
    require_consistent();
}

void Judge::cross(std::size_t crosser, std::size_t plane, Direction direction) {
    const bool forward = direction == Direction::forward;
    const SideIndex side = roles_.side(crosser, plane);
    require_consistent();
    if (world_.past_known[side] && world_.past[side] == forward) return choices_.refuse();
    // The whole athlete comes back only from past the plane, and no part is behind it then.
    if (crosser == kWhole && !forward && some_part_behind(plane)) return choices_.refuse();
    set_past(side, forward);
    set_crossed(crosser, plane, forward);
    if (crosser == kWhole) {
        cross_whole(plane, forward);
    } else if (!forward) {
        // The whole athlete is back by the first part.
        set_past(roles_.side(kWhole, plane), false);
        set_crossed(kWhole, plane, false);
    } else {
        cross_last_part(plane);
    }
    if (world_.phase != Phase::under_way) return;
    if (forward && breaks_start_plane(crosser, plane)) return breach(clause_bit(Clause::start));
    check_landing();
}

void Judge::cross_whole(std::size_t plane, bool forward) {
    for (const Part part : course::kAllParts) {
        const SideIndex side = roles_.side(static_cast<std::size_t>(part), plane);
        if (forward) {
            set_past(side, true);
            set_crossed(static_cast<std::size_t>(part), plane, true);
        } else {
            world_.past_known.reset(side);  // one part is back; which one, nobody says
            world_.past.reset(side);
        }
    }
}

bool Judge::some_part_behind(std::size_t plane) const {
    return (body_sides(plane) & world_.past_known & ~world_.past).any();
}

/// The whole athlete is past with the last of the parts; those whose side nobody knows may be past already.
void Judge::cross_last_part(std::size_t plane) {
    if (some_part_behind(plane)) return;
    const SideBits unknown = body_sides(plane) & ~world_.past_known;
    const SideIndex whole = roles_.side(kWhole, plane);
    if (unknown.any() && !asks_for_whole(plane)) {
        world_.past_known.reset(whole);
        world_.past.reset(whole);
        return;
    }
    for (std::size_t side = unknown._Find_first(); side < unknown.size(); side = unknown._Find_next(side)) {
        if (!past(static_cast<SideIndex>(side))) return;
    }
    set_past(whole, true);
    set_crossed(kWhole, plane, true);
}

bool Judge::asks_for_whole(std::size_t plane) const {
    if (world_.phase != Phase::under_way) return false;
    const auto is_here = [plane](const auto& one) { return one.plane == plane; };
    const auto is_whole = [&](const PlaneNeed& need) { return is_here(need) && need.crosser == kWhole; };
    return std::any_of(here().credit_planes.begin(), here().credit_planes.end(), is_here) ||
           std::any_of(here().planes.begin(), here().planes.end(), is_whole);
}

bool Judge::breaks_start_plane(std::size_t crosser, std::size_t plane) const {
    const StationRoles& station = here();
    if (!station.has_start_plane || station.start_plane != plane || world_.set_off) return false;
    if (station.station->start_plane_until != course::BehindUntil::set_off) return false;
    if (crosser == kWhole) return true;
    return station.station->start_plane_parts.has(static_cast<Part>(crosser));
}

void Judge::signal(SignalKind kind) {
    switch (kind) {
        case SignalKind::start_given:
            return give_start();
        case SignalKind::finish_registers:
            if (!world_.started) return;
            if (world_.phase == Phase::after_last) world_.finished = true;
            return end_run(clause_bit(Clause::run_ended));
        case SignalKind::run_over:
            return end_run(clause_bit(Clause::run_ended));
    }
}

void Judge::give_start() {
    if (world_.started || world_.phase == Phase::ended) return;
    world_.started = true;
    clocks_.mark_start = true;
    if (roles_.book().run_cap) start(kRunCap);
    if (roles_.station_count() == 0) return;
    begin(0);
    const bool stands = any_on(here().on_start);
    const bool behind = std::none_of(here().start_sides.begin(), here().start_sides.end(),
                                     [this](SideIndex side) { return past(side); });
    if (!stands || !behind) return fail_here(clause_bit(Clause::start));
    if (world_.false_started) return fail_here(clause_bit(Clause::infraction));
    world_.stood |= 1U << world_.at;
    if (here().station->rest_limit) start(kRest);
}

void Judge::infraction(InfractionKind kind) {
    if (kind == InfractionKind::false_start) {
        if (roles_.book().false_start == course::FalseStart::no_effect || !is_undecided(0)) return;
        if (world_.phase == Phase::before_start) {
            world_.false_started = true;  // the first station has not begun; it fails when it does
            return;
        }
    } else if (world_.phase != Phase::under_way && !world_.retrying) {
        return;
    }
    require_consistent();
    fail_here(clause_bit(Clause::infraction));
}

void Judge::control() {
    if (!world_.set_off || !here().station->landing.control) return;
    if (conditions_hold()) complete();
}

void Judge::act(const Event& event) {
    switch (event.kind) {
        case EventKind::touch:
            return touch(event.part, event.surface, event.grade);
        case EventKind::release:
            return release(event.part, event.surface);
        case EventKind::cross:
            return cross(event.crosser, event.plane, event.direction);
        case EventKind::signal:
            return signal(event.signal);
        case EventKind::infraction:
            return infraction(event.infraction);
        case EventKind::control:
            return control();
    }
}

void Judge::come_due(Deadline deadline) {
    stop(deadline);
    // Who held the landing, or still stood on the start, may stand where a later station begins.
    if (deadline != kRunCap) require_consistent();
    switch (deadline) {
        case kHold:
            return complete();
        case kStationCap:
            return fail_here(clause_bit(Clause::cap));
        case kRest:
            return fail_here(clause_bit(Clause::cap));
        case kRunCap:
            return end_run(clause_bit(Clause::cap));
    }
}

void Judge::unseen_finish() {
    if (!roles_.has_finish()) return choices_.refuse();
    if (!roles_.on_finish().empty() && !any_on(roles_.on_finish())) return choices_.refuse();
    signal(SignalKind::finish_registers);
}

void Judge::end_of_world() {
    decide_rest(Outcome::open, 0);
}

// --- under way ---

bool Judge::is_passed_over(Grade grade) {
    if (roles_.book().brush_counts || grade == Grade::weight) return false;
    return grade == Grade::brush || !choices_.choose();
}

void Judge::touch_under_way(Part part, SurfaceClass surface, Grade grade) {
    if (const std::uint16_t broken = broken_by_touch(roles_, world_, part, surface); broken != 0) {
        if (!is_passed_over(grade)) return breach(broken);
        // What does not count against the athlete does not count for them either: no item is used by it.
        return check_landing();
    }
    const Role& role = roles_.role(world_.at, surface);
    if (role.start) world_.stood |= 1U << world_.at;
    const bool start_only = role.start && role.item < 0 && !role.landing;
    if (start_only && world_.clear_of_start) return end_attempt(clause_bit(Clause::attempt));
    if (role.item >= 0 && item_allows(role, part) && !use_item(role.item)) return;
    if (role.landing && !role.start && !world_.set_off && !set_off()) return;
    if (world_.set_off) reach(role.credit);
    check_landing();
}

void Judge::reach(std::int32_t points) {
    world_.credit = std::max(world_.credit, points);
}

bool Judge::item_allows(const Role& role, Part part) const {
    return here().items[static_cast<std::size_t>(role.item)].parts.has(part);
}

void Judge::release_under_way(SurfaceClass surface) {
    const Role& role = roles_.role(world_.at, surface);
    if (role.item >= 0) {
        const ItemRoles& item = here().items[static_cast<std::size_t>(role.item)];
        const std::uint64_t bit = std::uint64_t{1} << role.item;
        if (item.once && (world_.touched & bit) && !any_on(item.pairs)) world_.left |= bit;
    }
    if (role.start) {
        world_.stood |= 1U << world_.at;
        const bool watched_for = (world_.item_touched && !world_.clear_of_start) || !world_.set_off;
        if (watched_for && !any_on(here().on_start)) {
            if (world_.item_touched) world_.clear_of_start = true;
            if (!world_.set_off && !here().station->step_down_allowed && !set_off()) return;
        }
    }
    check_landing();
}

bool Judge::use_item(int item) {
    world_.touched |= std::uint64_t{1} << item;
    if (!world_.item_touched) {
        world_.item_touched = true;
        world_.clear_of_start = !any_on(here().on_start);
    }
    return world_.set_off || set_off();
}

bool Judge::set_off() {
    world_.set_off = true;
    stop(kRest);
    if (here().station->cap && !(world_.running & kStationCap)) start(kStationCap);
    const std::vector<SideIndex>& sides = here().start_sides;
    const bool ahead = here().station->start_plane_until == course::BehindUntil::set_off &&
                       std::any_of(sides.begin(), sides.end(), [this](SideIndex side) { return past(side); });
    if (ahead) breach(clause_bit(Clause::start));
    return !ahead;
}

void Judge::breach(std::uint16_t clauses) {
    end_attempt(lowest(clauses));
}

void Judge::end_attempt(std::uint16_t clauses) {
    ++world_.attempts;
    if (world_.attempts >= here().station->attempts) return fail_here(clauses);
    stop(kHold | kRest);
    const std::uint8_t attempts = world_.attempts;
    wait_for(world_.at, true);
    world_.attempts = attempts;
}

void Judge::check_landing() {
    if (!world_.set_off) return;
    const course::Landing& landing = here().station->landing;
    const bool now = conditions_hold();
    if (now && !landing.hold && !landing.control) return complete();
    if (now && !world_.holding) {
        world_.holding = true;
        if (landing.hold) start(kHold);
    } else if (!now) {
        world_.holding = false;
        stop(kHold);
    }
}

void Judge::complete() {
    const std::size_t station = world_.at;
    decide(station, Outcome::cleared, 0);
    clocks_.mark_done = true;
    stop(kHold | kStationCap | kRest);
    if (station + 1 < roles_.station_count() && here().station->exit == course::Exit::shared) {
        begin(station + 1);
        if (here().station->rest_limit) start(kRest);
        return;
    }
    wait_for(station + 1, false);
}

base::Duration length_of(const Roles& roles, Deadline deadline, const WorldState& world) {
    const course::Station& station =
        *roles.station(std::min<std::size_t>(world.at, roles.station_count() - 1)).station;
    switch (deadline) {
        case kHold:
            return station.landing.hold.value_or(base::Duration{});
        case kStationCap:
            return station.cap.value_or(base::Duration{});
        case kRest:
            return station.rest_limit.value_or(base::Duration{});
        case kRunCap:
            return roles.book().run_cap.value_or(base::Duration{});
    }
    return {};
}

}  // namespace plumbmark::ruling
