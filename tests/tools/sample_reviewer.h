// Marks the runs of the sample meet as a careful reviewer would who steps through the frames, from the truth
// that the renderer wrote down: a contact that a clip shows is bracketed by the two frames around it; one
// that the athlete's own body hides there is bracketed wider, as far as the limb can be told; what stays
// hidden is not marked and not watched.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "base/result.h"
#include "review/session.h"

namespace plumbmark::sample {

/// How one run is reviewed.
struct ReviewPlan {
    std::string run;                 ///< in the truth file: "run-4"
    std::string label;               ///< in the meet: "run 4"
    std::vector<std::string> clips;  ///< clip files, in the order of the angles
    std::vector<std::string>
        marked;  ///< those that are marked on; the others are there and not looked at yet
    meet::Athlete athlete;
    std::string question;
    std::vector<std::string> tied = {};  ///< those of the others that only the start signal is marked on
};

/// Adds the run to the session and reviews it. 'folder' holds the clips and the truth.
[[nodiscard]] base::Result<void> review_run(review::Session& session, const std::string& folder,
                                            const nlohmann::json& truth, const ReviewPlan& plan);

}  // namespace plumbmark::sample
