// The single changes to a review that might settle a station, cheapest first, each with what it could bring
// to light.
#pragma once

#include <vector>

#include "ruling/internal/deciding.h"

namespace plumbmark::ruling {

struct Change {
    SettleStep step;                 ///< without 'leads_to'
    std::vector<Evidence> outcomes;  ///< the review after each thing that the change can bring to light
};

/// Only changes near the station are named: marks between its beginning and its decision.
[[nodiscard]] std::vector<Change> changes_for(const Inquiry& inquiry, std::size_t station);

}  // namespace plumbmark::ruling
