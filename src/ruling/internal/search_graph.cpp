#include "ruling/internal/search_graph.h"

#include <algorithm>
#include <map>

namespace plumbmark::ruling {
bool SearchGraph::add_edge(StateIndex from, StateIndex to, const Step& step, std::span<const Fact> facts) {
    const auto index = static_cast<EdgeIndex>(edges_.size());
    edges_.push_back({from, to, kNoEdge, nodes_[from].first_out, static_cast<std::uint32_t>(facts_.size()),
                      static_cast<std::uint32_t>(facts.size()), step});
    facts_.insert(facts_.end(), facts.begin(), facts.end());
    nodes_[from].first_out = index;
    if (to != kEndOfWorld) {
        Node& node = nodes_[to];
        if (node.come_by == kNoEdge)
            node.come_by = index;
        else
            edges_[node.last_in].next_in = index;
        node.last_in = index;
    }
    met_new_ = false;
    if (is_live(to)) bring_to_life(index);
    return met_new_;
}

/// The edge leads to where a world can end, and so do then all that lead to its beginning.
void SearchGraph::bring_to_life(EdgeIndex edge) {
    std::vector<EdgeIndex> left{edge};
    while (!left.empty()) {
        const EdgeIndex e = left.back();
        left.pop_back();
        meet(facts(edges_[e]));
        Node& from = nodes_[edges_[e].from];
        if (from.way_out != kNoEdge) continue;
        from.way_out = e;
        for (EdgeIndex in = from.come_by; in != kNoEdge; in = edges_[in].next_in)
            left.push_back(in);
    }
}

void SearchGraph::meet(std::span<const Fact> facts) {
    for (const Fact& fact : facts) {
        Met& met = met_[fact.station];
        const Met before = met;
        met.cleared |= fact.decision.outcome == Outcome::cleared;
        met.failed |= fact.decision.outcome == Outcome::failed;
        met.open |= fact.decision.outcome == Outcome::open;
        met.not_reached |= fact.decision.outcome == Outcome::not_reached;
        if (fact.decision.outcome == Outcome::failed) met.failing_clauses |= fact.decision.clauses;
        met_new_ |= !(met == before);
    }
}

std::vector<Ending> SearchGraph::endings() const {
    Examples examples;
    bool some_wait = false;
    for (EdgeIndex e = 0; e < edges_.size(); ++e) {
        if (!is_live(edges_[e].to)) continue;
        for (const Fact& fact : facts(edges_[e])) {
            const bool waits = fact.decision.mark < 0 && edges_[e].to != kEndOfWorld;
            some_wait |= waits;
            if (!waits && is_new(examples, e, fact)) examples.endings.push_back(world_through(e, {}));
        }
    }
    if (some_wait) add_told(examples);
    // A course without a station, and a world without a decision, have their ending, too.
    if (examples.endings.empty() && !nodes_.empty() && is_live(0))
        examples.endings.push_back(world_through(kNoEdge, {}));
    return std::move(examples.endings);
}

/// The same decision by another event is another example: one may be easier to believe.
bool SearchGraph::is_new(Examples& examples, EdgeIndex edge, const Fact& fact) const {
    const Step& step = edges_[edge].step;
    return examples.told.insert({fact, step.kind, step.event}).second;
}

/// What an unseen event or a deadline decided is known at the latest by the next seen event: by each that can
/// be next. So from each seen event back to all that can lie before it, and from the end.
void SearchGraph::add_told(Examples& examples) const {
    std::map<std::int16_t, std::vector<EdgeIndex>> tellers;
    for (EdgeIndex e = 0; e < edges_.size(); ++e) {
        if (!is_live(edges_[e].to)) continue;
        if (is_seen(edges_[e].step)) tellers[edges_[e].step.mark].push_back(e);
        if (edges_[e].to == kEndOfWorld) tellers[-1].push_back(e);
    }
    for (const auto& [mark, edges] : tellers) {
        // By state: the next edge on a way on which this mark is the next that is seen.
        std::unordered_map<StateIndex, EdgeIndex> towards;
        std::vector<StateIndex> left;
        const auto reach = [&](EdgeIndex e) {
            if (towards.emplace(edges_[e].from, e).second) left.push_back(edges_[e].from);
        };
        for (const EdgeIndex e : edges)
            reach(e);
        for (std::size_t next = 0; next < left.size(); ++next) {
            for (EdgeIndex e = nodes_[left[next]].come_by; e != kNoEdge; e = edges_[e].next_in) {
                tell_waiting(examples, e, mark, towards);
                if (!is_seen(edges_[e].step)) reach(e);
            }
        }
    }
}

/// The decisions of this edge that wait for a seen event, as told by this one.
void SearchGraph::tell_waiting(Examples& examples, EdgeIndex edge, std::int16_t mark,
                               const std::unordered_map<StateIndex, EdgeIndex>& towards) const {
    for (Fact fact : facts(edges_[edge])) {
        if (fact.decision.mark >= 0) continue;
        fact.decision.mark = mark;
        if (!is_new(examples, edge, fact)) continue;
        std::vector<EdgeIndex> until_told;
        for (StateIndex at = edges_[edge].to; until_told.empty() || !tells(until_told.back(), mark);
             at = edges_[until_told.back()].to)
            until_told.push_back(towards.at(at));
        examples.endings.push_back(world_through(edge, until_told));
    }
}

bool SearchGraph::tells(EdgeIndex edge, std::int16_t mark) const {
    return mark < 0 ? edges_[edge].to == kEndOfWorld : edges_[edge].step.mark == mark;
}

/// A world over this edge (none: any), then over those, then to an end.
Ending SearchGraph::world_through(EdgeIndex edge, const std::vector<EdgeIndex>& then) const {
    Ending ending;
    StateIndex at = 0;
    if (edge != kNoEdge) {
        ending.edges = way_to(edges_[edge].from);
        ending.edges.push_back(edge);
        ending.edges.insert(ending.edges.end(), then.begin(), then.end());
        at = edges_[ending.edges.back()].to;
    }
    while (at != kEndOfWorld) {
        ending.edges.push_back(nodes_[at].way_out);
        at = edges_[nodes_[at].way_out].to;
    }
    tell(ending);
    return ending;
}

std::vector<EdgeIndex> SearchGraph::way_to(StateIndex state) const {
    std::vector<EdgeIndex> way;
    for (EdgeIndex e = nodes_[state].come_by; e != kNoEdge; e = nodes_[edges_[e].from].come_by)
        way.push_back(e);
    std::reverse(way.begin(), way.end());
    return way;
}

void SearchGraph::tell(Ending& ending) const {
    ending.stations.assign(met_.size(), {});
    std::vector<std::uint16_t> waiting;
    for (const EdgeIndex e : ending.edges) {
        const Step& step = edges_[e].step;
        if (is_seen(step)) {
            ending.started |=
                step.event.kind == EventKind::signal && step.event.signal == SignalKind::start_given;
            for (const std::uint16_t station : waiting)
                ending.stations[station].mark = step.mark;
            waiting.clear();
        }
        for (const Fact& fact : facts(edges_[e])) {
            ending.stations[fact.station] = fact.decision;
            if (fact.decision.mark < 0) waiting.push_back(fact.station);
        }
    }
}

}  // namespace plumbmark::ruling
