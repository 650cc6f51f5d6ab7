// Whose run it is.
#pragma once

#include "meet/changes.h"

namespace plumbmark::meet {

/// The athlete of this run: its entry's, else the one that it names itself. Null: it does not say whose it
/// is. Lives as long as the state is not changed.
[[nodiscard]] const Athlete* athlete_of(const State& state, const Run& run);

}  // namespace plumbmark::meet
