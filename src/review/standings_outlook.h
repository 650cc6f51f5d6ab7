// The standings as whoever gives them out wants to see them: what was given out last, what moved since, and
// what each table still waits for.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "review/competition.h"

namespace plumbmark::review {

struct TableOutlook {
    std::optional<meet::Publication> last;  ///< given out last; none: never
    bool same = false;                      ///< ... and nothing moved since
    std::vector<std::string> moved;  ///< since then: "number 4 moves from place 3 to place 2: its own result"
    std::vector<std::string> awaits;  ///< "number 21 has not run yet", "number 4: appeal 2 is not decided"
};

struct StandingsOutlook {
    std::vector<meet::Standings> standings;
    report::StandingsDocument document;  ///< tables in the same order
    std::vector<TableOutlook> tables;    ///< likewise
};

/// Takes as long as the standings, which rule the runs that have no official time; 'stopped' as
/// MeetCourses::sources().
[[nodiscard]] StandingsOutlook standings_outlook(const meet::State& state,
                                                 const std::function<bool()>& stopped = {});

/// What giving these out would say to whom: a sentence a table that changes, and what stands in the way.
/// Empty where nothing would be given out.
struct GivingOut {
    std::vector<base::Sentence> tables;  ///< "Final, u14g (7 lines)"
    std::optional<base::Sentence> refusal;
};
[[nodiscard]] GivingOut giving_out(const meet::State& state, const StandingsOutlook& outlook, bool official);

}  // namespace plumbmark::review
