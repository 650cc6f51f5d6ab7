// What a station's trials leave open.
#pragma once

#include <vector>

#include "study/trials.h"

namespace plumbmark::study::internal {

/// The clauses that the station asks something by, with what the rulings of these trials said of them.
[[nodiscard]] std::vector<ClauseLine> clause_lines(const StationTrials& trials,
                                                   const std::vector<const TrialResult*>& counted);

/// Of a report whose ways, lines, tallies and clauses stand: the open ones first, each by kind, with what
/// closes them.
[[nodiscard]] std::vector<Question> questions(const StationTrials& trials, const StationReport& report,
                                              const std::vector<const TrialResult*>& counted);

}  // namespace plumbmark::study::internal
