// The endings that were found so far, and whether following one more state could still add to the answer.
#pragma once

#include "oracle/worlds.h"

namespace plumbmark::oracle {

class Known {
  public:
    explicit Known(const Case& review);

    [[nodiscard]] bool has(const Ending& ending) const { return worlds_.contains(ending); }
    void add(const Ending& ending, std::string told);

    /// True when no world from here can change a verdict, an 'if reached', the clauses of a shown FAIL, a
    /// station's points or the set of run results. 'control_to_come': a control mark may still come.
    [[nodiscard]] bool nothing_new_from(const RunState& state, bool control_to_come) const;

    /// Verdicts, clauses and results over all endings.
    void answer(Answer& answer) const;

  private:
    // What is known of one station, as sets of bits.
    struct Met {
        unsigned outcomes = 0;
        unsigned failing = 0;  // clauses
        std::set<std::int16_t> credits;
    };
    [[nodiscard]] bool met(std::size_t station, Outcome outcome) const {
        return ((met_[station].outcomes >> static_cast<unsigned>(outcome)) & 1U) != 0;
    }
    [[nodiscard]] bool not_shown(std::size_t station) const;
    [[nodiscard]] bool settled(std::size_t station, bool begun) const;
    [[nodiscard]] bool ruled_before(std::size_t station, const Ruled& ruled) const;
    template <class Condition>
    [[nodiscard]] bool for_all_credits(const RunState& state, std::size_t station,
                                       const Condition& known) const;
    [[nodiscard]] bool results_known(const RunState& state, bool control_to_come, std::size_t station,
                                     ruling::RunResult so_far) const;
    [[nodiscard]] std::int32_t points(std::size_t station, const Ruled& ruled) const;
    [[nodiscard]] ruling::RunResult result(const Ending& ending) const;
    [[nodiscard]] StationAnswer station_answer(std::size_t station) const;

    const Case& review_;
    bool points_count_;
    std::map<Ending, std::string> worlds_;
    std::vector<Met> met_;
    std::set<ruling::RunResult> results_;
};

}  // namespace plumbmark::oracle
