// Which members of stored things may name a person. They are kept apart from the journal's chain, and can be
// erased.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "meet/changes.h"

namespace plumbmark::meet {

/// The personal members of a thing, always in the same order. Free text that a person types and whatever may
/// hold a file's name count: the journal is never rewritten, so what might name a child must not stand in it.
[[nodiscard]] std::vector<std::string*> personal_members(Entity& entity);
[[nodiscard]] std::vector<const std::string*> personal_members(const Entity& entity);

/// The same members one after the other, where there are too many things to gather them.
void for_each_personal(Entity& entity, const std::function<void(std::string&)>& each);

/// What those members are, in the same order: "name", "club", "note".
[[nodiscard]] std::vector<const char*> personal_words(const Entity& entity);

}  // namespace plumbmark::meet
