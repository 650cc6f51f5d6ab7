#include "oracle/plain_judge.h"

#include <algorithm>

#include "oracle/facts.h"

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::Station;
using course::SurfaceId;
using ruling::Clause;

// One event in one world.
class Turn : public Facts {
  public:
    using Facts::Facts;

    void touch(Part part, SurfaceId surface, bool brush) {
        if (part == Part::loose && !book_.loose_counts) return;
        if (!move_contact(part, surface, true)) return;
        if (s_.stage == Stage::under_way) {
            touch_under_way(part, surface, brush);
        } else if (s_.stage == Stage::waiting) {
            touch_waiting(part, surface, brush);
        }
    }

    void release(Part part, SurfaceId surface) {
        if (part == Part::loose && !book_.loose_counts) return;
        if (!move_contact(part, surface, false)) return;
        if (s_.stage == Stage::under_way) {
            release_under_way(surface);
        } else if (s_.stage == Stage::waiting) {
            release_waiting(surface);
        }
    }

    void cross(std::optional<Part> part, course::PlaneId plane, ruling::Direction direction) {
        const bool forward = direction == ruling::Direction::forward;
        if (!move_side(part, plane, forward)) return;
        if (s_.stage != Stage::under_way) return;
        if (forward && breaches_start_plane(part, plane)) return end_attempt(Clause::start);
        note_landing_planes(part, plane, forward);
        if (forward && whole_athlete_past(plane)) reach(plane);
        look_at_landing();
    }

    void signal(ruling::SignalKind kind) {
        switch (kind) {
            case ruling::SignalKind::start_given:
                if (s_.stage == Stage::before_start) start_given();
                return;
            case ruling::SignalKind::finish_registers:
                if (s_.stage == Stage::all_decided) s_.finished = true;
                if (s_.stage != Stage::before_start) end_run(Clause::run_ended);
                return;
            case ruling::SignalKind::run_over:
                if (s_.stage != Stage::over) end_run(Clause::run_ended);
                return;
        }
    }

    void infraction(ruling::InfractionKind kind) {
        if (kind != ruling::InfractionKind::false_start) {
            if (s_.begun && (s_.stage == Stage::under_way || s_.stage == Stage::waiting))
                fail(Clause::infraction);
            return;
        }
        if (book_.false_start == course::FalseStart::no_effect) return;
        if (s_.stage == Stage::before_start) s_.false_start = true;
        if (s_.begun && s_.station == 0 && (s_.stage == Stage::under_way || s_.stage == Stage::waiting))
            fail(Clause::infraction);
    }

    void control() {
        if (s_.stage != Stage::under_way || !here().landing.control || !s_.set_off) return;
        if (landing_holds()) complete();
    }

    void require_finish_contact() {
        if (book_.finish.surface && !any_on(*book_.finish.surface)) possible_ = false;
    }

    void hold_due() {
        if (s_.hold_due != kNever && s_.hold_due <= now_) complete();
    }

    void caps_due() {
        const bool station =
            (s_.cap_due != kNever && s_.cap_due <= now_) || (s_.rest_due != kNever && s_.rest_due <= now_);
        if (station) fail(Clause::cap);
        if (s_.run_cap_due != kNever && s_.run_cap_due <= now_) end_run(Clause::cap);
    }

    void end_of_world() {
        for (std::size_t i = 0; i < book_.stations.size(); ++i) {
            Ruled& ruled = s_.ruled[i];
            if (ruled.outcome != Outcome::undecided) continue;
            const bool open = s_.begun && static_cast<std::size_t>(s_.station) == i &&
                              (s_.stage == Stage::under_way || s_.stage == Stage::waiting);
            ruled.outcome = open ? Outcome::open : Outcome::not_reached;
            if (open) ruled.credit = s_.credit;
        }
    }

  private:
    void look_at_landing() {
        if (s_.stage != Stage::under_way || !s_.set_off || here().landing.control) return;
        const bool holds = landing_holds();
        if (!here().landing.hold) {
            if (holds) complete();
        } else if (!holds) {
            s_.hold_due = kNever;
        } else if (s_.hold_due == kNever) {
            s_.hold_due = durations_.after(now_, *here().landing.hold);
        }
    }

    void note_landing_planes(std::optional<Part> part, course::PlaneId plane, bool forward) {
        for (std::size_t i = 0; i < here().landing.planes.size(); ++i) {
            const course::PlaneCondition& condition = here().landing.planes[i];
            if (condition.plane != plane) continue;
            const auto bit = static_cast<std::uint8_t>(1U << i);
            const bool counts =
                condition.part ? !part || part == condition.part : !forward || whole_athlete_past(plane);
            if (!counts) continue;
            s_.crossed = static_cast<std::uint8_t>(forward ? s_.crossed | bit : s_.crossed & ~bit);
        }
    }

    [[nodiscard]] bool breaches_start_plane(std::optional<Part> part, course::PlaneId plane) const {
        if (here().start_plane != plane || s_.set_off) return false;
        if (here().start_plane_until == course::BehindUntil::signal) return false;
        return !part || here().start_plane_parts.has(*part);
    }

    // Under way
    // -----------------------------------------------------------------------------------------------

    [[nodiscard]] bool neutral_before_set_off(SurfaceId surface) const {
        if (s_.set_off || s_.station == 0 || s_.attempts_used > 0 || !here().previous_items_neutral)
            return false;
        return item_index(station(s_.station - 1), surface) >= 0;
    }

    // The first clause in the order of the list that this touch breaks.
    [[nodiscard]] std::optional<Clause> breach(Part part, SurfaceId surface) const {
        std::optional<Clause> first;
        const auto broken = [&](Clause clause) { first = first ? std::min(*first, clause) : clause; };
        const int index = item_index(here(), surface);
        const bool landing = has(here().landing.surfaces, surface);
        const bool start = has(here().start, surface);
        if (index < 0 && !landing && !start && !neutral_before_set_off(surface)) {
            broken(Clause::out_of_play);
        }
        if (index >= 0) {
            const course::Item& item = here().in_play[static_cast<std::size_t>(index)];
            if (!item.parts.has(part) && !landing && !start) broken(Clause::part);
            if (item.after && !used(*item.after)) broken(Clause::order);
            if (skips_too_many(surface)) broken(Clause::order);
            if (item.once && ((s_.left >> index) & 1U) != 0) broken(Clause::once);
        }
        const bool lands = landing && (s_.set_off || !start);
        if (lands && here().landing.no_hands_down && is_hand(part)) broken(Clause::hands_down);
        return first;
    }

    [[nodiscard]] bool skips_too_many(SurfaceId surface) const {
        return std::any_of(here().rows.begin(), here().rows.end(), [&](const course::ItemRow& row) {
            const auto member = std::find(row.members.begin(), row.members.end(), surface);
            if (member == row.members.end()) return false;
            const auto skipped =
                std::count_if(row.members.begin(), member, [&](SurfaceId before) { return !used(before); });
            return skipped > row.max_skipped;
        });
    }

    // An item that is a start or landing surface as well is an item to the parts that it allows only.
    [[nodiscard]] int item_for(Part part, SurfaceId surface) const {
        const int item = item_index(here(), surface);
        return item >= 0 && here().in_play[static_cast<std::size_t>(item)].parts.has(part) ? item : -1;
    }

    void touch_under_way(Part part, SurfaceId surface, bool brush) {
        if (const std::optional<Clause> broken = breach(part, surface)) {
            if (!brush || book_.brush_counts) return end_attempt(*broken);
            return look_at_landing();
        }
        const int item = item_for(part, surface);
        const bool landing = has(here().landing.surfaces, surface);
        if (item >= 0) {
            s_.used = static_cast<std::uint16_t>(s_.used | (1U << item));
            s_.item_touched = true;
        }
        const bool goes_on_landing = landing && !has(here().start, surface);
        if ((item >= 0 || goes_on_landing) && !s_.set_off && !set_off()) return;
        const bool only_start = has(here().start, surface) && item_index(here(), surface) < 0 && !landing;
        if (only_start && s_.item_touched && s_.off_start_since) {
            return end_attempt(Clause::attempt);
        }
        if (s_.set_off) reach(surface);
        note_off_start();
        look_at_landing();
    }

    void release_under_way(SurfaceId surface) {
        const int item = item_index(here(), surface);
        if (item >= 0 && here().in_play[static_cast<std::size_t>(item)].once && used(item) &&
            !any_on(surface)) {
            s_.left = static_cast<std::uint16_t>(s_.left | (1U << item));
        }
        const bool may_set_off = !s_.set_off && has(here().start, surface) && !here().step_down_allowed;
        if (may_set_off && !any_on(here().start) && !set_off()) return;
        note_off_start();
        look_at_landing();
    }

    void note_off_start() {
        if (s_.item_touched && !s_.off_start_since && !any_on(here().start)) s_.off_start_since = true;
    }

    // False when it breaches the start plane.
    bool set_off() {
        s_.set_off = true;
        s_.rest_due = kNever;
        if (here().cap && s_.cap_due == kNever) s_.cap_due = durations_.after(now_, *here().cap);
        const bool must_be_behind = here().start_plane_until == course::BehindUntil::set_off;
        if (!must_be_behind || !past_start_plane()) return true;
        end_attempt(Clause::start);
        return false;
    }

    [[nodiscard]] bool past_start_plane() {
        return here().start_plane &&
               std::any_of(course::kAllParts.begin(), course::kAllParts.end(), [&](Part part) {
                   return here().start_plane_parts.has(part) && past(part, *here().start_plane);
               });
    }

    // Checkpoints
    // ---------------------------------------------------------------------------------------------

    void reach(SurfaceId surface) {
        for (const course::Checkpoint& checkpoint : here().checkpoints) {
            if (checkpoint.touched == surface) take_credit(checkpoint);
        }
    }
    void reach(course::PlaneId plane) {
        for (const course::Checkpoint& checkpoint : here().checkpoints) {
            if (checkpoint.crossed == plane) take_credit(checkpoint);
        }
    }
    void take_credit(const course::Checkpoint& checkpoint) {
        if (points_count()) s_.credit = std::max(s_.credit, static_cast<std::int16_t>(checkpoint.points));
    }

    // From begin to end
    // ---------------------------------------------------------------------------------------

    void begin(int i, bool platform) {
        s_.stage = Stage::under_way;
        s_.station = static_cast<std::int8_t>(i);
        s_.begun = true;
        s_.attempts_used = 0;
        s_.cap_due = kNever;
        begin_attempt();
        for (std::size_t k = 0; k < here().in_play.size(); ++k) {
            const course::Item& item = here().in_play[k];
            const bool held = std::any_of(parts_.begin(), parts_.end(), [&](Part part) {
                return item.parts.has(part) && on(part, item.surface);
            });
            if (!held) continue;
            s_.used = static_cast<std::uint16_t>(s_.used | (1U << k));
            reach(here().in_play[k].surface);
        }
        s_.item_touched = s_.used != 0;
        if (platform && here().rest_limit) s_.rest_due = durations_.after(now_, *here().rest_limit);
        note_off_start();
    }

    void begin_attempt() {
        s_.stage = Stage::under_way;
        s_.set_off = s_.item_touched = s_.off_start_since = s_.touched_too_early = false;
        s_.stood = 0;
        s_.crossed = 0;
        s_.used = s_.left = 0;
        s_.hold_due = s_.rest_due = kNever;
    }

    void end_attempt(Clause clause) {
        if (s_.attempts_used + 1 >= here().attempts) return fail(clause);
        s_.attempts_used = static_cast<std::int8_t>(s_.attempts_used + 1);
        const Step cap = s_.cap_due;
        wait(s_.station);
        s_.cap_due = cap;
    }

    void complete() {
        decide(s_.station, Outcome::cleared, Clause::landing);
        const bool shared = here().exit == course::Exit::shared;
        go_on(shared);
    }

    void fail(Clause clause) {
        decide(s_.station, Outcome::failed, clause);
        if (book_.format == course::Format::first_fail_ends) return be_over();
        go_on(false);
    }

    void go_on(bool shared) {
        s_.begun = false;
        s_.attempts_used = 0;
        s_.cap_due = s_.hold_due = s_.rest_due = kNever;
        if (s_.station + 1 == count()) {
            begin_attempt();
            s_.stage = Stage::all_decided;
        } else if (shared) {
            begin(s_.station + 1, true);
        } else {
            wait(s_.station + 1);
        }
    }

    void decide(int i, Outcome outcome, Clause clause) {
        const bool comes_this_far = outcome == Outcome::failed && i == s_.station;
        s_.ruled[static_cast<std::size_t>(i)] = {outcome, clause,
                                                 comes_this_far ? s_.credit : std::int16_t{0}};
        if (i == s_.station) s_.credit = 0;
    }

    void end_run(Clause clause) {
        if (s_.begun && (s_.stage == Stage::under_way || s_.stage == Stage::waiting)) {
            decide(s_.station, Outcome::failed, clause);
        }
        be_over();
    }

    void be_over() {
        for (int i = 0; i < count(); ++i) {
            if (s_.ruled[static_cast<std::size_t>(i)].outcome == Outcome::undecided) {
                decide(i, Outcome::not_reached, Clause::landing);
            }
        }
        begin_attempt();
        s_.stage = Stage::over;
        s_.begun = false;
        s_.attempts_used = 0;
        s_.station = 0;
        s_.cap_due = s_.run_cap_due = kNever;
    }

    // Between stations
    // ----------------------------------------------------------------------------------------

    void wait(int i) {
        begin_attempt();
        s_.stage = Stage::waiting;
        s_.station = static_cast<std::int8_t>(i);
        for (int k = i; k < count(); ++k) {
            if (any_on(station(k).start)) s_.stood = static_cast<std::uint8_t>(s_.stood | (1U << k));
        }
    }

    [[nodiscard]] bool stood(int i) const { return ((s_.stood >> i) & 1U) != 0; }

    // Begins station i at its set-off; false when the run ended because stations were skipped, or at a
    // breach.
    bool set_off_on(int i) {
        while (s_.station < i) {
            decide(s_.station, Outcome::failed, Clause::start);
            if (book_.format == course::Format::first_fail_ends) return be_over(), false;
            s_.station = static_cast<std::int8_t>(s_.station + 1);
            s_.begun = false;
        }
        if (s_.begun) {
            begin_attempt();
        } else {
            begin(i, false);
        }
        return set_off();
    }

    void touch_waiting(Part part, SurfaceId surface, bool brush) {
        for (int i = s_.station; i < count(); ++i) {
            const bool in_play =
                item_index(station(i), surface) >= 0 ||
                (has(station(i).landing.surfaces, surface) && !has(station(i).start, surface));
            if (!in_play || !stood(i)) continue;
            if (set_off_on(i)) touch_under_way(part, surface, brush);
            return;
        }
        if (s_.touched_too_early && has(here().landing.surfaces, surface)) return fail(Clause::start);
        if (item_index(here(), surface) >= 0) s_.touched_too_early = true;
        for (int i = s_.station; i < count(); ++i) {
            if (!has(station(i).start, surface)) continue;
            s_.stood = static_cast<std::uint8_t>(s_.stood | (1U << i));
            if (i == s_.station) s_.touched_too_early = false;
        }
    }

    void release_waiting(SurfaceId surface) {
        for (int i = s_.station; i < count(); ++i) {
            if (!stood(i) || station(i).step_down_allowed || !has(station(i).start, surface)) continue;
            if (any_on(station(i).start)) continue;
            if (set_off_on(i)) {
                note_off_start();
                look_at_landing();
            }
            return;
        }
    }

    void start_given() {
        if (book_.run_cap) s_.run_cap_due = durations_.after(now_, *book_.run_cap);
        const bool started_well = any_on(here().start) && !past_start_plane();
        begin(0, true);
        if (!started_well) return fail(Clause::start);
        if (s_.false_start) fail(Clause::infraction);
    }
};

template <class... Ts>
struct Overloaded : Ts... {
    using Ts::operator()...;
};
template <class... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>;

}  // namespace

std::size_t PlainJudge::pair(Part part, SurfaceId surface) {
    const std::size_t s = surface.valid() ? static_cast<std::size_t>(surface.value) : kMostSurfaces - 1;
    return static_cast<std::size_t>(part) * kMostSurfaces + s;
}

std::size_t PlainJudge::side(std::optional<Part> part, course::PlaneId plane) {
    return (part ? static_cast<std::size_t>(*part) : kWhole) * kMostPlanes +
           static_cast<std::size_t>(plane.value);
}

bool PlainJudge::state_contact(RunState& state, std::size_t pair, bool on) {
    if (state.contacts.is_known(pair) && state.contacts.is_set(pair) != on) return false;
    state.contacts.set(pair, on);
    return true;
}

// Runs the turn; where it asked for something unknown, runs it from the other possible pasts as well.
template <class Body>
void PlainJudge::in_every_world(const RunState& before, Step now, States& after, const Body& body) const {
    States pasts;
    const auto judge_from = [&](const RunState& past) {
        Turn turn(book_, durations_, parts_, tracked_, past, now, pasts);
        body(turn);
        if (turn.possible()) after.push_back(turn.state());
    };
    judge_from(before);
    while (!pasts.empty()) {
        const RunState past = pasts.back();
        pasts.pop_back();
        judge_from(past);
    }
}

void PlainJudge::happen(const RunState& before, const ruling::Happening& what, Step now,
                        States& after) const {
    const auto run = [&](const auto& body) { in_every_world(before, now, after, body); };
    std::visit(
        Overloaded{
            [&](const ruling::Touch& t) {
                const bool either = t.grade == ruling::Grade::ungraded && !book_.brush_counts;
                const bool brush = t.grade == ruling::Grade::brush;
                run([&](Turn& turn) { turn.touch(t.part, t.surface, brush); });
                if (either) run([&](Turn& turn) { turn.touch(t.part, t.surface, true); });
            },
            [&](const ruling::Release& r) { run([&](Turn& turn) { turn.release(r.part, r.surface); }); },
            [&](const ruling::Cross& c) {
                run([&](Turn& turn) { turn.cross(c.part, c.plane, c.direction); });
            },
            [&](const ruling::Signal& s) { run([&](Turn& turn) { turn.signal(s.kind); }); },
            [&](const ruling::Infraction& i) { run([&](Turn& turn) { turn.infraction(i.kind); }); },
            [&](const ruling::Control&) { run([&](Turn& turn) { turn.control(); }); },
            [&](const ruling::SharedMoment&) { run([](Turn&) {}); }},
        what);
}

void PlainJudge::unseen_finish(const RunState& before, Step now, States& after) const {
    in_every_world(before, now, after, [](Turn& turn) {
        turn.require_finish_contact();
        turn.signal(ruling::SignalKind::finish_registers);
    });
}

void PlainJudge::due_before(const RunState& before, Step now, States& after) const {
    in_every_world(before, now, after, [&](Turn& turn) {
        if (!book_.at_cap_is_in_time) turn.caps_due();
        turn.hold_due();
    });
}

void PlainJudge::due_after(const RunState& before, Step now, States& after) const {
    in_every_world(before, now, after, [&](Turn& turn) {
        if (book_.at_cap_is_in_time) turn.caps_due();
    });
}

void PlainJudge::end_of_world(const RunState& before, States& after) const {
    States running{before};
    while (!running.empty()) {
        const RunState state = running.back();
        running.pop_back();
        Step next = kNever;
        for (const Step due : {state.hold_due, state.cap_due, state.rest_due, state.run_cap_due}) {
            if (due != kNever && (next == kNever || due < next)) next = due;
        }
        if (next == kNever) {
            in_every_world(state, 0, after, [](Turn& turn) { turn.end_of_world(); });
            continue;
        }
        States fired;
        due_before(state, next, fired);
        for (const RunState& each : fired)
            due_after(each, next, running);
    }
}

}  // namespace plumbmark::oracle
