#include "ruling/internal/search_graph.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

/// Stands in a story for 'the decisions that waited are told by this mark'.
constexpr std::uint16_t kTold = std::numeric_limits<std::uint16_t>::max();

bool is_seen(const Step& step) {
    return step.kind == Step::Kind::mark;
}

}  // namespace

std::size_t SearchGraph::StoryHash::operator()(const StoryStep& step) const {
    std::size_t h = step.before;
    const auto mix = [&h](std::uint64_t v) { h = (h ^ v) * 1099511628211ULL + (h >> 29U); };
    const Decision& decision = step.fact.decision;
    mix(step.fact.station | static_cast<std::uint64_t>(decision.outcome) << 16U |
        std::uint64_t{decision.clauses} << 24U |
        std::uint64_t{static_cast<std::uint16_t>(decision.mark)} << 40U);
    mix(static_cast<std::uint64_t>(decision.credit));
    return h;
}

StoryId SearchGraph::story_with(StoryId story, const Step& step, std::span<const Fact> facts) {
    const auto go_on = [this](StoryId before, const Fact& fact, bool waits) {
        const auto [found, fresh] = stories_.emplace(StoryStep{before, fact}, last_story_ + 1);
        if (fresh) {
            ++last_story_;
            waits_.push_back(waits);
        }
        return found->second;
    };
    if (is_seen(step) && waits_[story])
        story = go_on(story, {kTold, {Outcome::undecided, 0, step.mark, 0}}, false);
    for (const Fact& fact : facts)
        story = go_on(story, fact, waits_[story] || fact.decision.mark < 0);
    return story;
}

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
    std::vector<Ending> endings;
    // The same decision by another event is another example: one may be easier to believe.
    struct Kind {
        Fact fact;
        Step::Kind by;
        Event event;
        bool operator==(const Kind&) const = default;
    };
    std::vector<Kind> told;
    for (const Way& way : ways()) {
        const Step& step = edges_[way.edge].step;
        const Kind kind{way.fact, step.kind, step.event};
        if (std::find(told.begin(), told.end(), kind) != told.end()) continue;
        told.push_back(kind);
        endings.push_back(world_through(way));
    }
    // A course without a station, and a world without a decision, have their ending, too.
    if (endings.empty() && !nodes_.empty() && is_live(0)) endings.push_back(world_through({}));
    return endings;
}

std::vector<SearchGraph::Way> SearchGraph::ways() const {
    std::vector<Way> ways;
    for (EdgeIndex e = 0; e < edges_.size(); ++e) {
        if (edges_[e].fact_count == 0 || !is_live(edges_[e].to) || !is_live(edges_[e].from)) continue;
        for (const Fact& fact : facts(edges_[e])) {
            if (fact.decision.mark >= 0 || edges_[e].to == kEndOfWorld)
                ways.push_back({e, kNoEdge, fact});
            else
                add_told(e, fact, ways);
        }
    }
    return ways;
}

/// What an unseen event or a deadline decided is known at the latest by the next seen event: by each that can
/// be next.
void SearchGraph::add_told(EdgeIndex at, const Fact& fact, std::vector<Way>& ways) const {
    std::vector<bool> visited(nodes_.size());
    std::vector<StateIndex> left{edges_[at].to};
    visited[left.front()] = true;
    bool untold = false;
    while (!left.empty()) {
        const StateIndex state = left.back();
        left.pop_back();
        for (EdgeIndex e = nodes_[state].first_out; e != kNoEdge; e = edges_[e].next_out) {
            const Edge& edge = edges_[e];
            if (!is_live(edge.to)) continue;
            if (is_seen(edge.step)) {
                Way way{at, e, fact};
                way.fact.decision.mark = edge.step.mark;
                ways.push_back(way);
            } else if (edge.to == kEndOfWorld) {
                if (!untold) ways.push_back({at, e, fact});
                untold = true;
            } else if (!visited[edge.to]) {
                visited[edge.to] = true;
                left.push_back(edge.to);
            }
        }
    }
}

Ending SearchGraph::world_through(const Way& way) const {
    Ending ending;
    StateIndex at = 0;
    if (way.edge != kNoEdge) {
        ending.edges = way_to(edges_[way.edge].from);
        ending.edges.push_back(way.edge);
        at = edges_[way.edge].to;
    }
    if (way.told_by != kNoEdge) {
        const std::vector<EdgeIndex> until_told = between(at, way.told_by);
        ending.edges.insert(ending.edges.end(), until_told.begin(), until_told.end());
        at = edges_[way.told_by].to;
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

/// From the state, with nothing seen on the way, to this edge and over it.
std::vector<EdgeIndex> SearchGraph::between(StateIndex from, EdgeIndex told_by) const {
    std::unordered_map<StateIndex, EdgeIndex> come_by{{from, kNoEdge}};
    std::vector<StateIndex> left{from};
    for (std::size_t next = 0; next < left.size() && !come_by.contains(kEndOfWorld); ++next) {
        for (EdgeIndex e = nodes_[left[next]].first_out; e != kNoEdge; e = edges_[e].next_out) {
            if (is_seen(edges_[e].step) || edges_[e].to == kEndOfWorld || !is_live(edges_[e].to)) continue;
            if (come_by.emplace(edges_[e].to, e).second) left.push_back(edges_[e].to);
        }
    }
    std::vector<EdgeIndex> way{told_by};
    for (StateIndex at = edges_[told_by].from; at != from; at = edges_[way.back()].from)
        way.push_back(come_by.at(at));
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
