// How messages name stored things.
#pragma once

#include "base/sentence.h"
#include "meet/changes.h"

namespace plumbmark::meet {

/// "mark 12", "watched span 3", "the meet".
[[nodiscard]] base::Sentence name_of(EntityKey key);

}  // namespace plumbmark::meet
