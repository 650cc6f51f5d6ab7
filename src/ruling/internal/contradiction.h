// Refusals in words: which marks cannot all be true, and which are too tangled.
#pragma once

#include "ruling/internal/inquiry.h"

namespace plumbmark::ruling {

/// The error for a review without a world: names marks, statements and spans that cannot all be true and of
/// which, within the work allowed, none can be left out.
[[nodiscard]] base::Error contradiction_of(const CoursePtr& course, const Evidence& evidence,
                                           const Settings& settings, const Words& words, Work& work);

/// The error for a review beyond the budget of states: names the marks that overlap most and what to do.
[[nodiscard]] base::Error tangle_of(const CoursePtr& course, const Evidence& evidence,
                                    const Settings& settings, const Words& words);

}  // namespace plumbmark::ruling
