// Testers, rigs, trials, closings, releases and coach's notes as JSON, the way journal rows and table 'thing'
// carry them (docs/meet-file.md, 'What an edit carries').
#pragma once

#include "meet/changes.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

[[nodiscard]] Json testing_json(const meet::Tester& tester);
[[nodiscard]] Json testing_json(const meet::RigState& rig);
[[nodiscard]] Json testing_json(const meet::Trial& trial);
[[nodiscard]] Json testing_json(const meet::Closing& closing);
[[nodiscard]] Json testing_json(const meet::Release& release);
[[nodiscard]] Json testing_json(const meet::CoachNote& note);

/// Of Kind::tester to Kind::coach_note. Throws ReadProblem.
[[nodiscard]] meet::Entity testing_from_json(meet::EntityKey key, const Json& value, const std::string& path);

}  // namespace plumbmark::store
