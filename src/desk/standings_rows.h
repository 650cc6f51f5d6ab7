// Standings in the words of the desk: a row a line, and what stands above a table. Without a window.
#pragma once

#include <string>
#include <vector>

#include "review/standings_outlook.h"

namespace plumbmark::desk {

struct StandingsRow {
    meet::RunId run;  ///< that counts; none: nobody ran
    std::string place, number, name, club;
    std::string counted;  ///< stations cleared, or points where the meet counts them
    std::string time;
    std::string remark;  ///< "did not start", "under appeal", "time from footage"
};

struct TableRows {
    std::string name;   ///< "Final, Girls under 14"
    std::string state;  ///< "official, publication 3, given out 14:32; not sealed yet", "not given out yet"
    std::string short_state;   ///< "official", "moved since", "so far"
    std::string counted_word;  ///< "cleared", "points"
    std::vector<std::string> moved, awaits;
    std::vector<StandingsRow> rows;
};

/// 'unsealed': the official publications that no seal was made after.
[[nodiscard]] std::vector<TableRows> standings_rows(const review::StandingsOutlook& outlook,
                                                    const std::vector<meet::PublicationId>& unsealed = {});

}  // namespace plumbmark::desk
