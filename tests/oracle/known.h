// The endings that were found so far, and whether following one more state could still add to the answer.
#pragma once

#include "oracle/worlds.h"

namespace plumbmark::oracle {

class Known {
  public:
    explicit Known(const Case& review)
        : review_(review), met_(review.book.stations.size()), failing_(review.book.stations.size()) {}

    [[nodiscard]] bool has(const Ending& ending) const { return worlds_.contains(ending); }
    void add(const Ending& ending, std::string told);

    /// True when no world from here can change a verdict, an 'if reached', the clauses of a shown FAIL or the
    /// set of run results. 'control_to_come': a control mark may still come.
    [[nodiscard]] bool nothing_new_from(const RunState& state, bool control_to_come) const;

    /// Verdicts, clauses and results over all endings, without the worlds themselves unless they are wanted.
    [[nodiscard]] Answer answer() const;

  private:
    [[nodiscard]] bool settled(std::size_t station, bool begun) const;
    [[nodiscard]] ruling::RunResult result(const Ending& ending) const;
    [[nodiscard]] StationAnswer station_answer(std::size_t station) const;

    const Case& review_;
    std::map<Ending, std::string> worlds_;
    std::vector<std::set<Outcome>> met_;
    std::vector<std::set<ruling::Clause>> failing_;
    std::set<ruling::RunResult> results_;
};

}  // namespace plumbmark::oracle
