// Which states the search keeps, and what it makes of them in the end.
#include <algorithm>
#include <set>

#include "ruling/internal/search.h"

namespace plumbmark::ruling {

/// A possible event whose time is over did not happen.
void Search::pass_over(State& state) const {
    MarkBits left = prepared_.possible & ~state.done;
    for (std::size_t m = left._Find_first(); m < kMostMarks; m = left._Find_next(m)) {
        const auto& seen = prepared_.marks[m].intervals;
        const bool over = std::any_of(seen.begin(), seen.end(), [&](const Interval& i) {
            return i.until && !state.zone.allows(kLast, offset(i.until_at.clock), below(i.until_at.time));
        });
        if (over) state.done.set(m);
    }
}

void Search::simplify(State& state, const Coverage& covered) const {
    if (prepared_.possible.any()) pass_over(state);
    auto [wanted, sides] = named_from(prepared_, state.done, state.passed);
    const PairBits named = wanted;
    if (state.world.phase != Phase::ended) {
        wanted |= roles_.matters_from(state.world.phase == Phase::after_last ? roles_.station_count()
                                                                             : state.world.at);
        sides |= roles_.sides_from(std::min<std::size_t>(state.world.at, roles_.station_count()));
    }
    // Where nobody watches, a contact may change at any time: it is not known, whatever it was. But one that
    // was off and whose touch would do more than make the contact stays off until a touch of its own, which
    // is another world. So does a part that was behind a plane.
    wanted &= covered.pairs | still_off(state.world, wanted & ~covered.pairs, named);
    sides &= covered.sides | still_behind(state.world);
    state.world.on_known &= wanted;
    state.world.on &= state.world.on_known;
    state.world.past_known &= sides;
    state.world.past &= state.world.past_known;
}

PairBits Search::still_off(const WorldState& world, const PairBits& of, const PairBits& named) const {
    PairBits off;
    const bool under_way = world.phase == Phase::under_way;
    if (!under_way && world.phase != Phase::waiting) return off;
    const PairBits candidates = of & world.on_known & ~world.on;
    const PairBits asked = under_way ? roles_.station(world.at).asked | roles_.matters_from(world.at + 1U)
                                     : roles_.matters_from(world.at);
    for (std::size_t p = candidates._Find_first(); p < kMostPairs; p = candidates._Find_next(p)) {
        // Where a part that nothing tells apart from this one may be on, this one says nothing by being off.
        // A mark to come tells its part from the others: once that part has left, they are off still.
        const PairBits mates = asked[p] ? of & ~candidates & ~named : of & ~candidates;
        if (!named[p] && has_mate(static_cast<PairIndex>(p), mates)) continue;
        if (touch_tells(roles_, world, part_of(p), class_of_pair(p))) off.set(p);
    }
    return off;
}

SideBits Search::still_behind(const WorldState& world) const {
    SideBits behind;
    if (world.phase != Phase::under_way) return behind;
    const StationRoles& station = roles_.station(world.at);
    for (std::size_t i = 0; i < station.planes.size(); ++i) {
        if (!(world.crossed >> i & 1U))
            behind.set(roles_.side(station.planes[i].crosser, station.planes[i].plane));
    }
    if (!world.set_off) {
        for (const SideIndex side : station.start_sides)
            behind.set(side);
    }
    return behind & world.past_known & ~world.past;
}

bool Search::has_mate(PairIndex pair, const PairBits& among) const {
    const SurfaceClass c = class_of_pair(pair);
    return std::any_of(course::kAllParts.begin(), course::kAllParts.end(), [&](course::Part part) {
        const PairIndex other = pair_of(part, c);
        return among[other] && roles_.kind_of(other) == roles_.kind_of(pair);
    });
}

std::size_t Search::hash_of(const State& state) {
    std::size_t hash = hash_value(state.world) * 31 + std::hash<MarkBits>{}(state.done);
    for (const std::uint16_t passed : state.passed)
        hash = (hash ^ passed) * 1099511628211ULL;
    hash ^= hash >> 32U;
    return hash * 4 + (state.next_strictly ? 2 : 0) + (state.awaits_call ? 1 : 0);
}

bool Search::are_alike(const State& a, const State& b) {
    return a.hash == b.hash && a.next_strictly == b.next_strictly && a.awaits_call == b.awaits_call &&
           a.passed == b.passed && a.done == b.done &&
           static_cast<const Progress&>(a.world) == static_cast<const Progress&>(b.world);
}

bool Search::includes(const State& state, const State& other) {
    return static_cast<const Position&>(state.world).includes(other.world) && state.zone.includes(other.zone);
}

/// A step without a decision that leads to no more than another state has in it is left out. All that can
/// come after it comes after that other state as well; make_good looks after what came before it.
void Search::add(State next, const Step& step, std::span<const Fact> facts) {
    next.hash = hash_of(next);
    next.needed = states_[current_].thorough || !facts.empty();
    for (StateIndex i = buckets_[next.hash % buckets_.size()]; i != kNoState; i = states_[i].next_same_hash) {
        State& other = states_[i];
        if (other.wider != kNoState || !are_alike(other, next)) continue;
        if (other.world == next.world && other.zone == next.zone) {
            met_new_ |= graph_.add_edge(current_, i, step, facts);
            other.needed |= next.needed;
            return;
        }
        if (!next.needed && includes(other, next)) {
            left_out_.push_back({current_, i, is_seen(step)});
            return;
        }
    }
    const StateIndex index = keep(std::move(next));
    met_new_ |= graph_.add_edge(current_, index, step, facts);
    take_in_narrower(index);
}

/// States that were not expanded yet, and that this one includes, are left out.
void Search::take_in_narrower(StateIndex index) {
    for (StateIndex i = states_[index].next_same_hash; i != kNoState; i = states_[i].next_same_hash) {
        State& other = states_[i];
        if (other.wider != kNoState || other.expanded || other.needed) continue;
        if (!are_alike(other, states_[index]) || !includes(states_[index], other)) continue;
        other.wider = index;
        graph_.each_edge_to(i, [&](const SearchGraph::Edge& edge) {
            left_out_.push_back({edge.from, index, is_seen(edge.step)});
        });
    }
}

StateIndex Search::in_place_of(StateIndex state) const {
    while (states_[state].wider != kNoState)
        state = states_[state].wider;
    return state;
}

/// What came before a step that was left out happens in a world if it does in one that goes on otherwise, or
/// if no world goes on over that step at all; and what waits to be told by a seen event can be told by each.
bool Search::is_made_good(const LeftOut& left_out, const Waiting& waiting) const {
    const StateIndex wider = in_place_of(left_out.wider);
    if (!graph_.is_live(wider)) return true;
    if (!graph_.is_live(left_out.from)) return false;
    return left_out.seen || waiting.told_as_by(left_out.from, wider);
}

/// Opens again the states from which a step was left out and should not have been; false when there are none.
bool Search::make_good() {
    if (left_out_.empty()) return false;
    const Waiting waiting(graph_);
    for (const LeftOut& left_out : left_out_) {
        State& from = states_[left_out.from];
        if (from.thorough || is_made_good(left_out, waiting)) continue;
        from.thorough = true;
        from.expanded = false;
        open_.push_back(left_out.from);
    }
    return !open_.empty();
}

StateIndex Search::keep(State state) {
    if (states_.size() * 2 > buckets_.size()) {
        buckets_.assign(buckets_.size() * 4, kNoState);
        for (StateIndex i = 0; i < states_.size(); ++i)
            put_in_bucket(i);
    }
    const auto index = static_cast<StateIndex>(states_.size());
    states_.push_back(std::move(state));
    graph_.add_state();
    put_in_bucket(index);
    open_.push_back(index);
    return index;
}

void Search::put_in_bucket(StateIndex index) {
    StateIndex& bucket = buckets_[states_[index].hash % buckets_.size()];
    states_[index].next_same_hash = bucket;
    bucket = index;
}

void Search::record_end(const State& from) {
    if ((from.done | prepared_.possible).count() != prepared_.marks.size()) return;
    if (from.world.running != 0 || from.awaits_call) return;
    for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
        if (from.passed[clip] != prepared_.moments[clip].size()) return;
    }
    Choices choices;
    Judge judge(roles_, from.world, choices, -1);
    judge.end_of_world();
    Step step;
    step.kind = Step::Kind::end;
    // Nothing is cleared by the end, so no call waits after it.
    State end(from.zone);
    if (!as_called(end, step, judge.decided())) return;
    met_new_ |= graph_.add_edge(current_, kEndOfWorld, step, judge.decided());
    add_result(judge.after(), from.zone);
}

void Search::add_result(const WorldState& world, const Zone& zone) {
    RunEnd end;
    end.result.cleared = world.cleared;
    end.result.points = world.points;
    end.result.full_clear =
        world.cleared == roles_.station_count() && (!roles_.book().finish.required || world.finished);
    const Bound high = zone.bound(kDone, kStart);
    const Bound low = zone.bound(kStart, kDone);
    if (high != kNoBound) end.split_high = bound_value(high);
    if (low != kNoBound) end.split_low = -bound_value(low);
    for (RunEnd& known : run_ends_) {
        if (known.result != end.result) continue;
        known.split_high = known.split_high && end.split_high
                               ? std::optional(std::max(*known.split_high, *end.split_high))
                               : std::nullopt;
        known.split_low = known.split_low && end.split_low
                              ? std::optional(std::min(*known.split_low, *end.split_low))
                              : std::nullopt;
        return;
    }
    run_ends_.push_back(end);
    met_new_ = true;
}

std::vector<Search::Passage> Search::path(const Ending& ending) const {
    std::vector<Passage> passages;
    for (const EdgeIndex e : ending.edges) {
        const SearchGraph::Edge& edge = graph_.edge(e);
        const StateIndex after = edge.to == kEndOfWorld ? edge.from : edge.to;
        const State& from = states_[edge.from];
        passages.push_back({&edge.step, &states_[after].world, graph_.facts(edge), &from.done, &from.passed});
    }
    return passages;
}

std::vector<int> Search::tangle() const {
    std::vector<int> worst;
    for (std::size_t m = 0; m < prepared_.marks.size(); ++m) {
        std::vector<int> together;
        for (std::size_t f = 0; f < prepared_.marks.size(); ++f) {
            const auto& a = prepared_.marks[m].intervals;
            const auto& b = prepared_.marks[f].intervals;
            if (prepared_.only_ties[m] || prepared_.only_ties[f]) continue;
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
