// The ruling in sentences that a parent can read, in the course book's own names.
#pragma once

#include "ruling/internal/deciding.h"

namespace plumbmark::ruling {

/// The reason for one station's ruling. Everything else of 'ruling' is filled in already.
/// 'tried_to_settle': every single change was tried, so that none left means that none settles it.
[[nodiscard]] Sentence station_sentence(const Inquiry& inquiry, const StationRuling& ruling,
                                        const std::vector<StationRuling>& before, bool tried_to_settle);

/// The run's result: "All three stations cleared and the bell plate registered; 17.283 to 17.317 s."
[[nodiscard]] Sentence run_sentence(const Inquiry& inquiry, const RunRuling& ruling);

/// One finding for each clause that the station has, in the order of the clauses.
[[nodiscard]] std::vector<ClauseFinding> findings_of(const Inquiry& inquiry, std::size_t station);

/// "both feet are on the gantry deck, past the front plane": what completes the station.
[[nodiscard]] Sentence completion_rule(const Inquiry& inquiry, std::size_t station);
/// "both feet were on the gantry deck by 0:09.133, past the front plane": that it was completed.
[[nodiscard]] Sentence completion_told(const Inquiry& inquiry, std::size_t station, const Sentence& when);

}  // namespace plumbmark::ruling
