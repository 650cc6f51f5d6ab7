// What an unseen event or a deadline decided is told by the next seen event: which states have such a
// decision behind them, and which seen events can be the next from each.
#pragma once

#include <vector>

#include "ruling/internal/bits.h"
#include "ruling/internal/search_graph.h"

namespace plumbmark::ruling {

/// Of a graph as it is now.
class Waiting {
  public:
    explicit Waiting(const SearchGraph& graph);
    /// Whether no decision waits in 'state', or every event that can tell it from 'other' can from here, too.
    [[nodiscard]] bool told_as_by(StateIndex state, StateIndex other) const;

  private:
    struct Tellers {
        MarkBits marks;
        bool end = false;  ///< no seen event is left
    };

    void find_waiting(const SearchGraph& graph);
    void find_tellers(const SearchGraph& graph);

    std::vector<bool> waits_;  ///< by state
    std::vector<Tellers> tellers_;
};

}  // namespace plumbmark::ruling
