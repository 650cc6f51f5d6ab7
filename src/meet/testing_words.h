// The words that files and options use for the fixed choices of trying a course out.
#pragma once

#include "base/word_list.h"
#include "meet/testing.h"

namespace plumbmark::meet {

inline constexpr std::array kSexWords{
    base::Word<Sex>{Sex::female, "female"},
    base::Word<Sex>{Sex::male, "male"},
};
inline constexpr std::array kTrialOutcomeWords{
    base::Word<TrialOutcome>{TrialOutcome::not_said, "not_said"},
    base::Word<TrialOutcome>{TrialOutcome::cleared, "cleared"},
    base::Word<TrialOutcome>{TrialOutcome::failed, "failed"},
};

}  // namespace plumbmark::meet
