// Whose run it is, and in which division.
#pragma once

#include <string>

#include "meet/changes.h"

namespace plumbmark::meet {

/// The athlete of this run: its entry's, else the one that it names itself. Null: it does not say whose it
/// is. Lives as long as the state is not changed.
[[nodiscard]] const Athlete* athlete_of(const State& state, const Run& run);

/// The meet's division with this key; null: there is none. Lives as long as the state is not changed.
[[nodiscard]] const Division* division_with_key(const State& state, const std::string& key);

}  // namespace plumbmark::meet
