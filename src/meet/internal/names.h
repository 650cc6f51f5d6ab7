// How messages name stored things.
#pragma once

#include <string>

#include "meet/changes.h"

namespace plumbmark::meet {

/// "mark 12", "watched span 3", "the meet".
[[nodiscard]] std::string name_of(EntityKey key);

}  // namespace plumbmark::meet
