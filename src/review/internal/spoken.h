// Sentences that the window shows and files keep: English, unless the thread is Speaking (base/catalogue.h).
#pragma once

#include <fmt/format.h>

#include <string>

#include "base/catalogue.h"

namespace plumbmark::review {

/// 'english' is checked against what is filled in; a translation was when it was read.
template <class First, class... Rest>
[[nodiscard]] std::string format_spoken(fmt::format_string<First, Rest...> english, First&& first,
                                        Rest&&... rest) {
    const fmt::string_view text = english;
    return fmt::vformat(base::spoken(text.data()), fmt::make_format_args(first, rest...));
}

}  // namespace plumbmark::review
