// Whether the engine rules a case as it was written down.
#pragma once

#include <string>

#include "ruling/case_file.h"

namespace plumbmark::test {

/// What the engine says otherwise than the case, in words; empty when it rules as written. A refusal must be
/// a contradiction that rests on exactly the lines the case names: with these alone the review is refused,
/// and without any one of them it is not.
[[nodiscard]] std::string difference(const RuleCase& rule_case);

}  // namespace plumbmark::test
