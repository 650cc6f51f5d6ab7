// What is asked of it makes no sense, or cannot be answered.
#pragma once

#include <utility>

#include "base/result.h"

namespace plumbmark::sight {

[[nodiscard]] inline base::Error refused(base::Sentence sentence) {
    return {base::Category::bad_input, std::move(sentence), {}};
}

}  // namespace plumbmark::sight
