#include "ruling/internal/waiting.h"

#include <algorithm>

namespace plumbmark::ruling {

Waiting::Waiting(const SearchGraph& graph) : waits_(graph.state_count(), false) {
    find_waiting(graph);
    if (std::find(waits_.begin(), waits_.end(), true) != waits_.end()) find_tellers(graph);
}

void Waiting::find_waiting(const SearchGraph& graph) {
    std::vector<StateIndex> left;
    const auto reach = [&](StateIndex state) {
        if (state == kEndOfWorld || waits_[state]) return;
        waits_[state] = true;
        left.push_back(state);
    };
    for (const SearchGraph::Edge& edge : graph.edges()) {
        for (const Fact& fact : graph.facts(edge)) {
            if (fact.decision.mark < 0) reach(edge.to);
        }
    }
    while (!left.empty()) {
        const StateIndex state = left.back();
        left.pop_back();
        graph.each_edge_from(state, [&](const SearchGraph::Edge& edge) {
            if (!is_seen(edge.step)) reach(edge.to);
        });
    }
}

void Waiting::find_tellers(const SearchGraph& graph) {
    tellers_.resize(graph.state_count());
    std::vector<StateIndex> left;
    std::vector<bool> is_left(graph.state_count(), false);
    const auto add = [&](StateIndex state, const Tellers& more) {
        Tellers& tellers = tellers_[state];
        if ((more.marks & ~tellers.marks).none() && (tellers.end || !more.end)) return;
        tellers.marks |= more.marks;
        tellers.end |= more.end;
        if (!is_left[state]) left.push_back(state);
        is_left[state] = true;
    };
    for (const SearchGraph::Edge& edge : graph.edges()) {
        if (!graph.is_live(edge.to)) continue;
        Tellers one;
        if (is_seen(edge.step)) one.marks.set(static_cast<std::size_t>(edge.step.mark));
        one.end = edge.to == kEndOfWorld;
        add(edge.from, one);
    }
    while (!left.empty()) {
        const StateIndex state = left.back();
        left.pop_back();
        is_left[state] = false;
        graph.each_edge_to(state, [&](const SearchGraph::Edge& edge) {
            if (!is_seen(edge.step)) add(edge.from, tellers_[state]);
        });
    }
}

bool Waiting::told_as_by(StateIndex state, StateIndex other) const {
    if (!waits_[state]) return true;
    const Tellers& ours = tellers_[state];
    const Tellers& theirs = tellers_[other];
    return (theirs.marks & ~ours.marks).none() && (ours.end || !theirs.end);
}

}  // namespace plumbmark::ruling
