// Two reviewers' marks of the same footage held against each other. Pure; any thread.
#pragma once

#include <cstdint>

#include "base/result.h"
#include "meet/changes.h"
#include "report/season_document.h"

namespace plumbmark::review {

/// One reviewer's run: of a state that outlives the call, laid open.
struct Rater {
    const meet::State& state;
    meet::RunId run;
    const report::LaidOpen& open;
};

/// So many frames apart at most are marks of two reviewers taken for the same event: a third of a second and
/// less of usual footage. Common practice, no source.
inline constexpr std::int64_t kFramesApart = 12;

/// Clips are the same where their whole files have one SHA-256, or, where that of one is not known, one
/// fingerprint, and where the same pictures of them were read. Marks are paired on those clips alone, by
/// kind, limb and plane, never by the surface, so that the surfaces can be compared: the nearest first, each
/// in one pair. Marks with alternatives and marks of what may not have happened are left out and counted.
/// Errors: bad_input where the runs have no clip in common.
[[nodiscard]] base::Result<report::RatersDocument> raters(const Rater& a, const Rater& b,
                                                          std::int64_t tolerance = 1,
                                                          double confidence = 0.95);

}  // namespace plumbmark::review
