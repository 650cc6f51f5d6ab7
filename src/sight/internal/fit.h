// One calibration from its beginnings to a camera with all that is known of it, nothing left out.
#pragma once

#include <stop_token>
#include <vector>

#include "sight/calibrate.h"
#include "sight/internal/first_guess.h"

namespace plumbmark::sight {

struct Fit {
    CalibratedCamera found;
    double sum = 0;  ///< of the squared residuals, the measures' own among them
    int redundancy = 0;
};

/// Where the beginnings lead, each place once; those that lead nowhere are left out, and so are those that
/// end far above the best. Fewer where 'stop' was asked for.
[[nodiscard]] std::vector<Fit> fit_all(const Sightings& sightings, const std::vector<Beginning>& beginnings,
                                       const std::stop_token& stop);

}  // namespace plumbmark::sight
