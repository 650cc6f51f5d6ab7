// A ruling with all its explanations.
#pragma once

#include "ruling/internal/inquiry.h"

namespace plumbmark::ruling {

/// Rules, with the earlier stations as called where 'calls' has any, and explains. Errors as rule_run and
/// rule_appeal.
[[nodiscard]] base::Result<RunRuling> rule_and_explain(const CoursePtr& course, const Evidence& evidence,
                                                       const Calls& calls, const Settings& settings);

}  // namespace plumbmark::ruling
