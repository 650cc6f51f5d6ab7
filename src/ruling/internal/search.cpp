#include "ruling/internal/search.h"

#include <algorithm>

#include "ruling/internal/judge.h"

namespace plumbmark::ruling {

Search::Search(const Roles& roles, const Prepared& prepared, const Settings& settings)
    : roles_(roles), prepared_(prepared), settings_(settings) {}

Zone::Node Search::node_of(Deadline deadline) {
    switch (deadline) {
        case kHold:
            return kFirstDeadline;
        case kStationCap:
            return kFirstDeadline + 1;
        case kRest:
            return kFirstDeadline + 2;
        case kRunCap:
            return kFirstDeadline + 3;
    }
    return kFirstDeadline;
}

Search::State Search::root() const {
    State state{{}, {}, {},   true, Zone(kFirstOffset + (prepared_.clocks > 1 ? prepared_.clocks - 1 : 0)),
                0,  {}, false};
    state.passed.assign(prepared_.clips, 0);
    return state;
}

/// Marks seen on several clips tie their clocks together before anything is ordered, and the moments of a
/// clip without a rate have their order.
bool Search::tie_clocks(Zone& zone) const {
    for (const PreparedMark& mark : prepared_.marks) {
        if (mark.possible) continue;
        for (const Interval& a : mark.intervals) {
            for (const Interval& b : mark.intervals) {
                if (!a.after || !b.until) continue;
                if (!zone.tighten(offset(a.after_at.clock), offset(b.until_at.clock),
                                  below(b.until_at.time - a.after_at.time)))
                    return false;
            }
        }
    }
    for (const std::vector<LooseMoment>& moments : prepared_.loose) {
        for (std::size_t i = 1; i < moments.size(); ++i) {
            if (!zone.tighten(offset(moments[i - 1].clock), offset(moments[i].clock), below(0))) return false;
        }
    }
    return true;
}

base::Result<Endings> Search::run(const Enough& enough) {
    State first = root();
    if (!tie_clocks(first.zone)) return Endings{};
    simplify(first);
    add(std::move(first));
    while (!open_.empty()) {
        const std::size_t index = open_.back();
        open_.pop_back();
        if (states_[index].dropped) continue;
        if (settings_.stopped && settings_.stopped())
            return base::Error{base::Category::cancelled, "The ruling was stopped.", ""};
        if (static_cast<std::int64_t>(states_.size()) > settings_.budget_states)
            return base::Error{base::Category::too_tangled, "", ""};
        const std::size_t known = endings_.size();
        expand(index);
        if (enough && endings_.size() > known && enough(endings_)) break;
    }
    return Endings{endings_, static_cast<std::int64_t>(states_.size())};
}

void Search::expand(std::size_t index) {
    const State from = states_[index];
    current_ = index;
    step_unseen(from);  // first in, last out: the examples of endings have as little unseen as may be
    for (std::size_t mark = 0; mark < prepared_.marks.size(); ++mark) {
        if (!from.done[mark]) step_mark(from, mark);
    }
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        if (from.passed[clip] < prepared_.moments[clip].size()) step_moment(from, clip);
    }
    for (const Deadline deadline : kDeadlines) {
        if (from.world.running & deadline) step_deadline(from, deadline);
    }
    record_end(from, index);
}

// --- what can be next ---

bool Search::before_others(Zone& zone, const State& from, std::size_t except) const {
    for (std::size_t f = 0; f < prepared_.marks.size(); ++f) {
        if (f == except || from.done[f]) continue;
        for (const Interval& interval : prepared_.marks[f].intervals) {
            if (interval.until &&
                !zone.tighten(kLast, offset(interval.until_at.clock), below(interval.until_at.time)))
                return false;
        }
    }
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        const auto& moments = prepared_.moments[clip];
        if (from.passed[clip] == moments.size()) continue;
        const Instant next = moments[from.passed[clip]].at;
        if (!zone.tighten(kLast, offset(next.clock), at_most(next.time))) return false;
    }
    return before_deadlines(zone, from);
}

bool Search::before_deadlines(Zone& zone, const State& from) const {
    for (const Deadline deadline : kDeadlines) {
        if (!(from.world.running & deadline)) continue;
        // A hold is complete before events of the same instant; a cap comes after them where reaching it is
        // in time.
        const bool same_instant = deadline != kHold && roles_.book().at_cap_is_in_time;
        if (!zone.tighten(kLast, node_of(deadline), same_instant ? at_most(0) : below(0))) return false;
    }
    return true;
}

std::optional<Zone> Search::zone_for_event(const State& from, std::size_t mark) const {
    Zone zone = from.zone;
    zone.advance(kLast, from.next_strictly);
    if (mark != kMostMarks) {
        for (const Interval& interval : prepared_.marks[mark].intervals) {
            const Instant until = interval.until_at, after = interval.after_at;
            if (interval.until && !zone.tighten(kLast, offset(until.clock), at_most(until.time)))
                return std::nullopt;
            if (interval.after && !zone.tighten(offset(after.clock), kLast, below(-after.time)))
                return std::nullopt;
        }
    }
    if (!before_others(zone, from, mark)) return std::nullopt;
    return zone;
}

/// What remains can still happen after the moment 'node + offset': marks end later, moments and deadlines are
/// not before.
bool Search::remaining_after(Zone& zone, const State& from, Zone::Node node, std::int64_t time,
                             bool strictly) const {
    for (std::size_t f = 0; f < prepared_.marks.size(); ++f) {
        if (from.done[f]) continue;
        for (const Interval& interval : prepared_.marks[f].intervals) {
            if (!interval.until) continue;
            const std::int64_t room = interval.until_at.time - time;
            if (!zone.tighten(node, offset(interval.until_at.clock), strictly ? below(room) : at_most(room)))
                return false;
        }
    }
    return true;
}

/// A possible event did not happen inside a span of a clip that covers it and on which it has no bracket.
bool Search::covered_elsewhere(const State& from, std::size_t mark, const Event& event) const {
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        if (from.passed[clip] == 0) continue;
        const auto& intervals = prepared_.marks[mark].intervals;
        if (std::any_of(intervals.begin(), intervals.end(),
                        [clip](const Interval& i) { return i.clip == clip; }))
            continue;
        const Coverage& one = prepared_.moments[clip][from.passed[clip] - 1U].after;
        switch (event.kind) {
            case EventKind::touch:
            case EventKind::release:
                if (one.pairs[roles_.pair(event.part, event.surface)]) return true;
                break;
            case EventKind::cross:
                if (one.sides[roles_.side(event.crosser, event.plane)]) return true;
                break;
            case EventKind::signal:
                if (event.signal == SignalKind::finish_registers && one.finish) return true;
                break;
            default:
                break;
        }
    }
    return false;
}

template <class Act>
void Search::branch(const State& from, const Zone& zone, const MarkBits& done,
                    const std::vector<std::uint16_t>& passed, bool next_strictly, const Step& step, int mark,
                    Act&& act) {
    const PairBits covered = coverage_at(prepared_, from.passed).pairs;
    for_every_choice([&](Choices& choices) {
        Judge judge(roles_, from.world, choices, static_cast<std::int16_t>(mark), &covered);
        act(judge);
        if (choices.refused()) return;
        if (step.kind == Step::Kind::unseen && judge.after() == from.world) return;
        State next{judge.after(), done, passed, next_strictly, zone, current_, step, false};
        move_clocks(next.zone, from.world, next.world, judge.clocks().start, judge.clocks().mark_start,
                    judge.clocks().mark_done);
        simplify(next);
        add(std::move(next));
    });
}

void Search::move_clocks(Zone& zone, const WorldState& before, const WorldState& after, std::uint8_t started,
                         bool mark_start, bool mark_done) const {
    if (mark_start) zone.assign(kStart, kLast);
    if (mark_done) zone.assign(kDone, kLast);
    for (const Deadline deadline : kDeadlines) {
        if ((before.running & deadline) && !(after.running & deadline)) zone.forget(node_of(deadline));
        if (!(started & deadline) || !(after.running & deadline)) continue;
        const std::int64_t length = length_of(roles_, deadline, after).ns;
        if (!prepared_.durations_known) {
            zone.assign_after(node_of(deadline), kLast, 0, kNoBound);
            continue;
        }
        // The clip's clock may run fast or slow: the length is only known to within the drift, rounded
        // outward.
        const std::int64_t drift = drift_over(length, settings_);
        zone.assign_after(node_of(deadline), kLast, length - drift, at_most(length + drift));
    }
}

void Search::step_mark(const State& from, std::size_t mark) {
    const std::optional<Zone> zone = zone_for_event(from, mark);
    if (!zone) return;
    MarkBits done = from.done;
    done.set(mark);
    const PreparedMark& prepared = prepared_.marks[mark];
    for (const Event& event : prepared.alternatives) {
        if (prepared.possible && covered_elsewhere(from, mark, event)) continue;
        Step step;
        step.kind = Step::Kind::mark;
        step.mark = static_cast<int>(mark);
        step.event = event;
        branch(from, *zone, done, from.passed, true, step, step.mark,
               [&](Judge& judge) { judge.act(event); });
    }
    if (!prepared.possible) return;
    State skipped = from;
    skipped.done = done;
    skipped.step = {};
    skipped.parent = current_;
    skipped.step.kind = Step::Kind::skipped;
    skipped.step.mark = static_cast<int>(mark);
    simplify(skipped);
    add(std::move(skipped));
}

void Search::step_moment(const State& from, std::size_t clip) {
    const Moment& moment = prepared_.moments[clip][from.passed[clip]];
    Zone zone = from.zone;
    const Zone::Node clock = offset(moment.at.clock);
    const std::int64_t time = moment.at.time;
    if (!zone.tighten(kLast, clock, at_most(time))) return;
    if (!remaining_after(zone, from, clock, time, true)) return;
    for (std::size_t other = 0; other < prepared_.clips; ++other) {
        const auto& moments = prepared_.moments[other];
        if (other == clip || from.passed[other] == moments.size()) continue;
        const Instant next = moments[from.passed[other]].at;
        if (!zone.tighten(clock, offset(next.clock), at_most(next.time - time))) return;
    }
    // A span covers its last instant, and what is stated holds at the end of its own: deadlines and events of
    // the same instant come first.
    for (const Deadline deadline : kDeadlines) {
        if ((from.world.running & deadline) && !zone.tighten(clock, node_of(deadline), below(-time))) return;
    }
    zone.forget(kLast);
    if (!zone.tighten(kLast, clock, at_most(time)) || !zone.tighten(clock, kLast, at_most(-time))) return;
    std::vector<std::uint16_t> passed = from.passed;
    ++passed[clip];
    Step step;
    step.kind = Step::Kind::moment;
    step.clip = static_cast<int>(clip);
    step.moment = from.passed[clip];
    // What a span that opens here vouches for, and no mark names, is not there.
    const Coverage before = coverage_at(prepared_, from.passed);
    const PairBits pairs = moment.after.pairs & ~before.pairs & ~prepared_.named_pairs;
    const SideBits sides = moment.after.sides & ~before.sides & ~prepared_.named_sides;
    branch(from, zone, from.done, passed, true, step, -1, [&](Judge& judge) {
        if (pairs.any() || sides.any()) judge.vouch(pairs, sides);
        if (moment.statement < 0) return;
        const PreparedStatement& stated = prepared_.statements[static_cast<std::size_t>(moment.statement)];
        judge.state_contact(stated.part, stated.surface, stated.on);
    });
}

void Search::step_deadline(const State& from, Deadline deadline) {
    const bool in_time = roles_.book().at_cap_is_in_time;
    const Zone::Node due = node_of(deadline);
    // Events of the same instant come after a hold's end, and after a cap's only where reaching it is too
    // late.
    const bool events_after = deadline == kHold || !in_time;
    Zone zone = from.zone;
    if (!zone.tighten(kLast, due, at_most(0))) return;
    if (!remaining_after(zone, from, due, 0, !events_after)) return;
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        const auto& moments = prepared_.moments[clip];
        if (from.passed[clip] == moments.size()) continue;
        const Instant next = moments[from.passed[clip]].at;
        if (!zone.tighten(due, offset(next.clock), at_most(next.time))) return;
    }
    for (const Deadline other : kDeadlines) {
        if (other == deadline || !(from.world.running & other)) continue;
        const bool loses_tie = (deadline == kHold && !in_time) || (other == kHold && in_time);
        if (!zone.tighten(due, node_of(other), loses_tie ? below(0) : at_most(0))) return;
    }
    zone.assign(kLast, due);
    Step step;
    step.kind = Step::Kind::deadline;
    step.deadline = deadline;
    branch(from, zone, from.done, from.passed, !events_after, step, -1,
           [&](Judge& judge) { judge.come_due(deadline); });
}

// --- unseen events ---

std::vector<Event> Search::unseen_events(const State& from, const Coverage& covered) const {
    std::vector<Event> events;
    const WorldState& world = from.world;
    const bool under_way = world.phase == Phase::under_way;
    if (!under_way && world.phase != Phase::waiting) return events;
    const bool loose_counts = roles_.book().loose_counts;
    bool out_of_play_added = false;
    for (SurfaceClass c = 0; c < roles_.class_count(); ++c) {
        bool matters_waiting = false;
        for (std::size_t k = world.at; k < roles_.station_count() && !under_way; ++k) {
            const Role& role = roles_.station(k).roles[c];
            matters_waiting |= role.start || role.landing || role.item >= 0;
        }
        const Role& role = roles_.station(world.at).roles[c];
        const bool own = role.start || role.landing || role.item >= 0 || role.previous_item;
        if (!under_way && !matters_waiting) continue;
        if (under_way && !own && out_of_play_added) continue;
        std::vector<std::uint32_t> added;
        for (const course::Part part : course::kAllParts) {
            const PairIndex pair = roles_.pair(part, c);
            if (part == course::Part::loose && !loose_counts) continue;
            if (covered.pairs[pair]) continue;
            // Of parts that nothing tells apart, one speaks for all.
            if (std::find(added.begin(), added.end(), roles_.kind_of(pair)) != added.end()) continue;
            added.push_back(roles_.kind_of(pair));
            Event event;
            event.part = part;
            event.surface = c;
            event.kind = EventKind::touch;
            events.push_back(event);
            if (under_way && !own) {
                // Any one touch out of play does what every other would.
                out_of_play_added = true;
                break;
            }
            event.kind = EventKind::release;
            events.push_back(event);
        }
    }
    if (!under_way) return events;
    const StationRoles& station = roles_.station(world.at);
    for (std::size_t plane = 0; plane < roles_.plane_count(); ++plane) {
        const auto is_this = [plane](const auto& need) { return need.plane == plane; };
        const bool needed = std::any_of(station.planes.begin(), station.planes.end(), is_this) ||
                            std::any_of(station.credit_planes.begin(), station.credit_planes.end(), is_this);
        if (!needed && !(station.has_start_plane && station.start_plane == plane)) continue;
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser) {
            if (covered.sides[roles_.side(crosser, plane)]) continue;
            for (const Direction direction : {Direction::forward, Direction::back}) {
                Event event;
                event.kind = EventKind::cross;
                event.crosser = crosser;
                event.plane = plane;
                event.direction = direction;
                events.push_back(event);
            }
        }
    }
    return events;
}

void Search::step_unseen(const State& from) {
    if (from.world.phase == Phase::ended || from.world.phase == Phase::before_start) return;
    const Coverage covered = coverage_at(prepared_, from.passed);
    const std::vector<Event> events = unseen_events(from, covered);
    const bool no_finish = covered.finish || !roles_.has_finish();
    if (events.empty() && no_finish) return;
    const std::optional<Zone> zone = zone_for_event(from, kMostMarks);
    if (!zone) return;
    for (const Event& event : events) {
        Step step;
        step.kind = Step::Kind::unseen;
        step.event = event;
        branch(from, *zone, from.done, from.passed, true, step, -1, [&](Judge& judge) { judge.act(event); });
    }
    if (no_finish) return;
    Step step;
    step.kind = Step::Kind::unseen;
    step.unseen_finish = true;
    step.event.kind = EventKind::signal;
    step.event.signal = SignalKind::finish_registers;
    branch(from, *zone, from.done, from.passed, true, step, -1, [&](Judge& judge) { judge.unseen_finish(); });
}

// --- keeping states ---

void Search::simplify(State& state) const {
    PairBits wanted;
    SideBits sides;
    for (std::size_t mark = 0; mark < prepared_.marks.size(); ++mark) {
        if (state.done[mark]) continue;
        wanted |= prepared_.marks[mark].pairs;
        sides |= prepared_.marks[mark].sides;
    }
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        for (std::size_t i = state.passed[clip]; i < prepared_.moments[clip].size(); ++i)
            wanted |= prepared_.moments[clip][i].pairs;
    }
    if (state.world.phase != Phase::ended) {
        wanted |= roles_.matters_from(state.world.phase == Phase::after_last ? roles_.station_count()
                                                                             : state.world.at);
        for (std::size_t k = state.world.at; k < roles_.station_count(); ++k) {
            const StationRoles& station = roles_.station(k);
            for (const PlaneNeed& need : station.planes) {
                for (std::size_t c = 0; c < kCrossersCount; ++c)
                    sides.set(roles_.side(c, need.plane));
            }
            for (const CreditPlane& checkpoint : station.credit_planes) {
                for (std::size_t c = 0; c < kCrossersCount; ++c)
                    sides.set(roles_.side(c, checkpoint.plane));
            }
            for (const SideIndex side : station.start_sides)
                sides.set(side);
        }
    }
    // Where nobody watches, a contact may change at any time: it is not known, whatever it was. But one that
    // was off and whose touch would break a clause stays off until a touch of its own, which is another
    // world.
    const Coverage covered = coverage_at(prepared_, state.passed);
    wanted &= covered.pairs | still_off(state.world, wanted & ~covered.pairs);
    sides &= covered.sides;
    state.world.on_known &= wanted;
    state.world.on &= state.world.on_known;
    state.world.past_known &= sides;
    state.world.past &= state.world.past_known;
}

PairBits Search::still_off(const WorldState& world, const PairBits& of) const {
    PairBits off;
    if (world.phase != Phase::under_way || !roles_.book().brush_counts) return off;
    const PairBits candidates = of & world.on_known & ~world.on;
    if (candidates.none()) return off;
    for (const course::Part part : course::kAllParts) {
        for (SurfaceClass c = 0; c < roles_.class_count(); ++c) {
            const PairIndex pair = roles_.pair(part, c);
            if (candidates[pair] && broken_by_touch(roles_, world, part, c) != 0) off.set(pair);
        }
    }
    return off;
}

void Search::add(State state) {
    std::size_t hash = hash_value(state.world) * 31 + std::hash<MarkBits>{}(state.done);
    for (const std::uint16_t passed : state.passed)
        hash = hash * 1099511628211ULL + passed;
    hash = hash * 2 + (state.next_strictly ? 1 : 0);
    const auto [first, last] = by_hash_.equal_range(hash);
    for (auto it = first; it != last; ++it) {
        const State& other = states_[it->second];
        if (other.done != state.done || other.passed != state.passed ||
            other.next_strictly != state.next_strictly || !(other.world == state.world))
            continue;
        if (other.zone.includes(state.zone)) return;
        if (state.zone.includes(other.zone)) states_[it->second].dropped = true;
    }
    by_hash_.emplace(hash, states_.size());
    open_.push_back(states_.size());
    states_.push_back(std::move(state));
}

void Search::record_end(const State& from, std::size_t index) {
    if (from.done.count() != prepared_.marks.size() || from.world.running != 0) return;
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        if (from.passed[clip] != prepared_.moments[clip].size()) return;
    }
    Choices choices;
    Judge judge(roles_, from.world, choices, -1);
    judge.end_of_world();
    Ending ending{judge.after(), index, std::nullopt, std::nullopt};
    const Bound high = from.zone.bound(kDone, kStart);
    const Bound low = from.zone.bound(kStart, kDone);
    if (high != kNoBound) ending.split_high = bound_value(high);
    if (low != kNoBound) ending.split_low = -bound_value(low);
    for (Ending& known : endings_) {
        if (known.world.stations != ending.world.stations || known.world.finished != ending.world.finished)
            continue;
        known.split_high = known.split_high && ending.split_high
                               ? std::optional(std::max(*known.split_high, *ending.split_high))
                               : std::nullopt;
        known.split_low = known.split_low && ending.split_low
                              ? std::optional(std::min(*known.split_low, *ending.split_low))
                              : std::nullopt;
        return;
    }
    endings_.push_back(std::move(ending));
}

std::vector<Step> Search::path(std::size_t node) const {
    std::vector<Step> steps;
    for (std::size_t at = node; states_[at].step.kind != Step::Kind::begin; at = states_[at].parent)
        steps.push_back(states_[at].step);
    std::reverse(steps.begin(), steps.end());
    return steps;
}

std::vector<WorldState> Search::worlds(std::size_t node) const {
    std::vector<WorldState> worlds;
    for (std::size_t at = node; states_[at].step.kind != Step::Kind::begin; at = states_[at].parent)
        worlds.push_back(states_[at].world);
    std::reverse(worlds.begin(), worlds.end());
    return worlds;
}

std::vector<int> Search::tangle() const {
    std::vector<int> worst;
    for (std::size_t m = 0; m < prepared_.marks.size(); ++m) {
        std::vector<int> together;
        for (std::size_t f = 0; f < prepared_.marks.size(); ++f) {
            const auto& a = prepared_.marks[m].intervals;
            const auto& b = prepared_.marks[f].intervals;
            if (a.empty() || b.empty() || a.front().clip != b.front().clip) continue;
            const bool before = a.front().until && b.front().after && *a.front().until <= *b.front().after;
            const bool after = b.front().until && a.front().after && *b.front().until <= *a.front().after;
            if (!before && !after) together.push_back(static_cast<int>(f));
        }
        if (together.size() > worst.size()) worst = together;
    }
    return worst;
}

}  // namespace plumbmark::ruling
