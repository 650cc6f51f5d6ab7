// The worlds of an appeal: those in which the earlier stations came out as they were called on the floor.
#pragma once

#include "ruling/internal/inquiry.h"

namespace plumbmark::ruling {

/// The calls with the seen event that completed the last called clear before the appealed station, where
/// exactly one fits: then nothing unseen is taken to have happened up to the frame before it. Otherwise the
/// calls as they are, so that every way in which it can have been cleared still counts.
[[nodiscard]] Calls with_seen_completion(const CoursePtr& course, const Evidence& evidence,
                                         const Settings& settings, const Calls& calls,
                                         const Decided& decided);

}  // namespace plumbmark::ruling
