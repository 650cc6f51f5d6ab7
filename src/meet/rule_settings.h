// The rules of a meet as settings that people write: "appeals.minutes = 15".
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "base/result.h"
#include "meet/competition.h"

namespace plumbmark::meet {

struct RuleSetting {
    const char* name;                    ///< "appeals.minutes"
    const char* about;                   ///< what it is
    std::string (*value)(const Rules&);  ///< as it is written
    base::Result<void> (*set)(Rules& rules,
                              const std::string& value);  ///< error bad_input says what can stand there
};

/// All there are, in the order in which people read them.
[[nodiscard]] std::span<const RuleSetting> rule_settings();

/// Sets one written as "name=value", with or without blanks. Error bad_input: no such setting (the nearest is
/// named), or what can stand there; nothing is set then.
[[nodiscard]] base::Result<void> set_rule(Rules& rules, std::string_view name_and_value);

}  // namespace plumbmark::meet
