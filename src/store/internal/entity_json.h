// Stored things as JSON, the way journal rows carry them (docs/meet-file.md, 'What an edit carries').
#pragma once

#include "meet/changes.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// Personal fields are expected to be sealed already (personal.h): a hash, or empty, which becomes null. The
/// id is not part of it, since the edit names it.
[[nodiscard]] Json to_json(const meet::Entity& sealed);

/// The opposite of to_json. Throws ReadProblem.
[[nodiscard]] meet::Entity entity_from_json(meet::EntityKey key, const Json& value, const std::string& path);

}  // namespace plumbmark::store
