#include "ruling/internal/search.h"

#include <algorithm>
#include <limits>

#include "base/check.h"
#include "base/worded.h"
#include "ruling/internal/search_branch.h"

namespace plumbmark::ruling {

namespace {
constexpr std::int64_t kNoLimit = std::numeric_limits<std::int64_t>::max();
constexpr std::size_t kFewStates = 64;
}  // namespace

Search::Search(const Roles& roles, const Prepared& prepared, const Settings& settings, const AsCalled& called)
    : roles_(roles),
      prepared_(prepared),
      settings_(settings),
      called_(called),
      graph_(roles.station_count()) {
    // A zone has a node for each deadline that the course knows, and for no other.
    std::uint8_t known = roles.book().run_cap ? kRunCap : 0;
    for (const course::Station& station : roles.book().stations) {
        if (station.landing.hold) known |= kHold;
        if (station.cap) known |= kStationCap;
        if (station.rest_limit) known |= kRest;
    }
    for (std::size_t d = 0; d < kDeadlines.size(); ++d)
        deadline_nodes_[d] = known & kDeadlines[d] ? first_offset_++ : 0;
    states_.reserve(kFewStates);
    buckets_.assign(2 * kFewStates, kNoState);
}

Zone::Node Search::node_of(Deadline deadline) const {
    const auto d = std::find(kDeadlines.begin(), kDeadlines.end(), deadline);
    return deadline_nodes_[static_cast<std::size_t>(d - kDeadlines.begin())];
}

Search::State Search::root() const {
    return State(Zone(first_offset_ + (prepared_.clocks > 1 ? prepared_.clocks - 1 : 0)));
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

base::Result<void> Search::run(const Enough& enough) {
    State first = root();
    if (!tie_clocks(first.zone)) return {};
    first.done = prepared_.only_ties;
    simplify(first, {});
    first.hash = hash_of(first);
    keep(std::move(first));
    while (!open_.empty() || make_good()) {
        const StateIndex index = open_.back();
        open_.pop_back();
        if (states_[index].wider != kNoState) continue;
        if (settings_.stopped && settings_.stopped())
            return base::Error{base::Category::cancelled, base::worded("The ruling was stopped."), ""};
        if (states() > settings_.budget_states) return base::Error{base::Category::too_tangled, "", ""};
        met_new_ = false;
        expand(index);
        if (enough && met_new_ && enough(met())) break;
    }
    return {};
}

void Search::expand(StateIndex index) {
    states_[index].expanded = true;
    const State from = states_[index];
    current_ = index;
    covered_ = coverage_at(prepared_, from.passed);
    named_ = named_from(prepared_, from.done, from.passed).pairs;
    find_limits(from);
    step_unseen(from);  // first in, last out: the examples of endings have as little unseen as may be
    for (std::size_t mark = 0; mark < prepared_.marks.size(); ++mark) {
        if (!from.done[mark] && can_be_next(from, mark)) step_mark(from, mark);
    }
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        if (from.passed[clip] < prepared_.moments[clip].size()) step_moment(from, clip);
    }
    for (const Deadline deadline : kDeadlines) {
        if (from.world.running & deadline) step_deadline(from, deadline);
    }
    record_end(from);
}

// --- what can be next ---

void Search::find_limits(const State& from) {
    limits_.assign(prepared_.clocks, {kNoLimit, kNoLimit, -1});
    for (std::size_t f = 0; f < prepared_.marks.size(); ++f) {
        // What may not have happened holds nothing else back.
        if (from.done[f] || prepared_.marks[f].possible) continue;
        const auto mark = static_cast<int>(f);
        for (const Interval& interval : prepared_.marks[f].intervals) {
            if (!interval.until) continue;
            Limit& limit = limits_[interval.until_at.clock];
            const std::int64_t time = interval.until_at.time;
            if (limit.of == mark) {
                limit.first = std::min(limit.first, time);
            } else if (time < limit.first) {
                limit = {time, limit.first, mark};
            } else {
                limit.second = std::min(limit.second, time);
            }
        }
    }
}

/// Sorts out, before any zone is made, the marks whose early ends lie behind what must come first.
bool Search::can_be_next(const State& from, std::size_t mark) const {
    for (const Interval& interval : prepared_.marks[mark].intervals) {
        if (!interval.after) continue;
        const Zone::Node own = offset(interval.after_at.clock);
        for (std::size_t clock = 0; clock < limits_.size(); ++clock) {
            const Limit& limit = limits_[clock];
            const std::int64_t until = limit.of == static_cast<int>(mark) ? limit.second : limit.first;
            if (until == kNoLimit) continue;
            if (!from.zone.allows(own, offset(clock), below(until - interval.after_at.time))) return false;
        }
        for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
            if (from.passed[clip] == prepared_.moments[clip].size()) continue;
            const Instant next = prepared_.moments[clip][from.passed[clip]].at;
            if (!from.zone.allows(own, offset(next.clock), below(next.time - interval.after_at.time)))
                return false;
        }
    }
    return true;
}

bool Search::before_others(Zone& zone, const State& from, std::size_t except) const {
    for (std::size_t clock = 0; clock < limits_.size(); ++clock) {
        const Limit& limit = limits_[clock];
        const std::int64_t until = limit.of == static_cast<int>(except) ? limit.second : limit.first;
        if (until != kNoLimit && !zone.tighten(kLast, offset(clock), below(until))) return false;
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

std::optional<Zone> Search::zone_for_event(const State& from, std::size_t mark) {
    ++zones_;
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
bool Search::remaining_after(Zone& zone, Zone::Node node, std::int64_t time, bool strictly) const {
    for (std::size_t clock = 0; clock < limits_.size(); ++clock) {
        if (limits_[clock].first == kNoLimit) continue;
        const std::int64_t room = limits_[clock].first - time;
        if (!zone.tighten(node, offset(clock), strictly ? below(room) : at_most(room))) return false;
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

// --- steps ---

/// False where a station that was called on the floor came out otherwise.
bool Search::as_called(State& next, const Step& step, std::span<const Fact> facts) const {
    if (called_.clear.empty()) return true;
    if (next.awaits_call && step.kind == Step::Kind::mark) {
        if (step.mark != called_.completed_by) return false;
        next.awaits_call = false;
    }
    for (const Fact& fact : facts) {
        if (fact.station >= called_.clear.size()) continue;
        const Outcome meant = called_.clear[fact.station] ? Outcome::cleared : Outcome::failed;
        if (fact.decision.outcome != meant) return false;
        if (fact.station + 1U != called_.clear.size() || called_.completed_by < 0) continue;
        if (fact.decision.mark < 0)
            next.awaits_call = true;
        else if (fact.decision.mark != called_.completed_by)
            return false;
    }
    return true;
}

void Search::move_clocks(Zone& zone, const WorldState& before, const WorldState& after,
                         const ClockMoves& moves) const {
    if (moves.mark_start) zone.assign(kStart, kLast);
    if (moves.mark_done) zone.assign(kDone, kLast);
    std::uint8_t started = 0;
    for (const Deadline deadline : kDeadlines) {
        if ((before.running & deadline) && !(after.running & deadline)) zone.forget(node_of(deadline));
        if (!(moves.start & deadline) || !(after.running & deadline)) continue;
        start_deadline(zone, deadline, after, started);
        started |= deadline;
    }
}

/// 'started': the deadlines that start at the same event.
void Search::start_deadline(Zone& zone, Deadline deadline, const WorldState& after,
                            std::uint8_t started) const {
    const auto run = [&](Zone::Node node, Zone::Node since, std::int64_t length) {
        // The clip's clock may run fast or slow: the length is only known to within the drift, rounded
        // outward; while the capture time is unknown, only that it is one.
        const std::int64_t drift = drift_over(length, settings_);
        const bool known = prepared_.durations_known || length == 0;
        return zone.tighten(since, node, known ? at_most(drift - length) : below(0)) &&
               (!known || zone.tighten(node, since, at_most(length + drift)));
    };
    const std::int64_t length = length_of(roles_, deadline, after).ns;
    const Zone::Node node = node_of(deadline);
    zone.forget(node);
    PLUMBMARK_CHECK(run(node, kLast, length));
    // Of two that start together the shorter is due first whatever the clock does, and equal ones are due
    // together.
    for (const Deadline other : kDeadlines) {
        if (!(started & other)) continue;
        const std::int64_t longer = length - length_of(roles_, other, after).ns;
        PLUMBMARK_CHECK(longer >= 0 ? run(node, node_of(other), longer) : run(node_of(other), node, -longer));
    }
}

void Search::step_mark(const State& from, std::size_t mark) {
    const std::optional<Zone> zone = zone_for_event(from, mark);
    if (!zone) return;
    MarkBits done = from.done;
    done.set(mark);
    const PreparedMark& prepared = prepared_.marks[mark];
    Step step;
    step.mark = static_cast<std::int16_t>(mark);
    for (const Event& event : prepared.alternatives) {
        if (prepared.possible && covered_elsewhere(from, mark, event)) continue;
        step.kind = Step::Kind::mark;
        step.event = event;
        branch(from, {*zone, done, from.passed}, step, [&](Judge& judge) { judge.act(event); });
    }
}

void Search::step_moment(const State& from, std::size_t clip) {
    ++zones_;
    const Moment& moment = prepared_.moments[clip][from.passed[clip]];
    Zone zone = from.zone;
    const Zone::Node clock = offset(moment.at.clock);
    const std::int64_t time = moment.at.time;
    if (!zone.tighten(kLast, clock, at_most(time))) return;
    if (!remaining_after(zone, clock, time, true)) return;
    for (std::size_t other = 0; other < prepared_.clips; ++other) {
        const auto& moments = prepared_.moments[other];
        if (from.passed[other] == moments.size()) continue;
        const Instant next = moments[from.passed[other]].at;
        // Moments of two clips are never one instant: how the clips lie to each other is known between open
        // bounds, so no world is lost, and nothing that nobody watches changes between them in no time.
        const std::int64_t room = next.time - time;
        if (!zone.tighten(clock, offset(next.clock), other == clip ? at_most(room) : below(room))) return;
    }
    // A span covers its last instant, and what is stated holds at the end of its own: deadlines and events of
    // the same instant come first.
    for (const Deadline deadline : kDeadlines) {
        if ((from.world.running & deadline) && !zone.tighten(clock, node_of(deadline), below(-time))) return;
    }
    zone.forget(kLast);
    if (!zone.tighten(kLast, clock, at_most(time)) || !zone.tighten(clock, kLast, at_most(-time))) return;
    Passed passed = from.passed;
    ++passed[clip];
    Step step;
    step.kind = Step::Kind::moment;
    step.clip = static_cast<std::int16_t>(clip);
    step.moment = from.passed[clip];
    // What a span that opens here vouches for, and no mark names, is not there.
    const PairBits pairs = moment.after.pairs & ~covered_.pairs & ~prepared_.named_pairs;
    const SideBits sides = moment.after.sides & ~covered_.sides & ~prepared_.named_sides;
    branch(from, {zone, from.done, passed}, step, [&](Judge& judge) {
        if (pairs.any() || sides.any()) judge.vouch(pairs, sides);
        if (moment.statement < 0) return;
        const PreparedStatement& stated = prepared_.statements[static_cast<std::size_t>(moment.statement)];
        judge.state_contact(stated.part, stated.surface, stated.on);
    });
}

void Search::step_deadline(const State& from, Deadline deadline) {
    ++zones_;
    const bool in_time = roles_.book().at_cap_is_in_time;
    const Zone::Node due = node_of(deadline);
    // Events of the same instant come after a hold's end, and after a cap's only where reaching it is too
    // late.
    const bool events_after = deadline == kHold || !in_time;
    Zone zone = from.zone;
    if (!zone.tighten(kLast, due, at_most(0))) return;
    if (!remaining_after(zone, due, 0, !events_after)) return;
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
    branch(from, {zone, from.done, from.passed, !events_after}, step,
           [&](Judge& judge) { judge.come_due(deadline); });
}

}  // namespace plumbmark::ruling
