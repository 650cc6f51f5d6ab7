// Refusals in words: which marks cannot all be true, and which are too tangled.
#pragma once

#include "ruling/internal/support.h"

namespace plumbmark::ruling {

/// Of a review without a world: marks, statements and spans that cannot all be true, as few as there are
/// where the work allowed suffices to find that out, else a set of which none can be left out.
[[nodiscard]] Kept smallest_contradiction(const CoursePtr& course, const Evidence& evidence,
                                          const Settings& settings, Work& work);

/// The error for a review without a world, in words: names that set.
[[nodiscard]] base::Error contradiction_of(const CoursePtr& course, const Evidence& evidence,
                                           const Settings& settings, const Words& words, Work& work);

/// The error for a review beyond the budget of states: names the marks that overlap most and what to do.
[[nodiscard]] base::Error tangle_of(const CoursePtr& course, const Evidence& evidence,
                                    const Settings& settings, const Words& words);

}  // namespace plumbmark::ruling
