// The things of the competition as JSON, the way journal rows and table 'thing' carry them
// (docs/meet-file.md, 'What an edit carries'); and what later formats added to runs, calls and athletes.
#pragma once

#include <optional>

#include "meet/changes.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// A hash, or null for an empty value.
[[nodiscard]] Json sealed_text(const std::string& hash);
/// The opposite; throws ReadProblem.
[[nodiscard]] std::string read_sealed(const Members& members, const std::string& name);

[[nodiscard]] Json competition_json(const meet::Rules& rules);
[[nodiscard]] Json competition_json(const meet::Division& division);
[[nodiscard]] Json competition_json(const meet::Round& round);
[[nodiscard]] Json competition_json(const meet::Entry& entry);
[[nodiscard]] Json competition_json(const meet::ClockTime& time);
[[nodiscard]] Json competition_json(const meet::Appeal& appeal);
[[nodiscard]] Json competition_json(const meet::Decision& decision);
[[nodiscard]] Json competition_json(const meet::Publication& publication);

/// Of Kind::rules to Kind::publication. Throws ReadProblem.
[[nodiscard]] meet::Entity competition_from_json(meet::EntityKey key, const Json& value,
                                                 const std::string& path);

/// The members that are left out where there is nothing to say, so that what older formats wrote stays as it
/// was. The readers throw ReadProblem.
void add_person_members(Json& object, const meet::Athlete& athlete);
void read_person_members(const Members& members, meet::Athlete& athlete);
void add_entry_members(Json& object, const meet::Run& run);
void read_entry_members(const Members& members, meet::Run& run);
void add_call_members(Json& object, const meet::FloorCall& call);
void read_call_members(const Members& members, meet::FloorCall& call);

}  // namespace plumbmark::store
