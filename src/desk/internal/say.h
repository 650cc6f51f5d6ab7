// What the window says, in the chosen language. The English stands in the code and is checked there against
// what is filled in; the translation is looked up when it is said (base/catalogue.h, docs/languages.md).
// For texts that are only shown: nothing of this is stored, exported or compared. Any thread.
#pragma once

#include <fmt/format.h>

#include <cstdint>
#include <string>
#include <utility>

#include "base/catalogue.h"

namespace plumbmark::desk {

/// A text without anything to fill in; valid until the process ends when it is a literal.
[[nodiscard]] inline const char* tr(const char* english) {
    return base::translate(english);
}
/// A word of another module's list, which marked it for the catalogue.
[[nodiscard]] inline std::string tr(const std::string& english) {
    return base::translate(english.c_str());
}

/// A sentence with things filled in. A translation may name them in another order; one that does not fit them
/// was left out when it was read, and English is said.
template <class First, class... Rest>
[[nodiscard]] std::string tr(fmt::format_string<First, Rest...> english, First&& first, Rest&&... rest) {
    const fmt::string_view text = english;
    return fmt::vformat(base::translate(text.data()), fmt::make_format_args(first, rest...));
}

/// Where one English text has two meanings, 'context' tells translators which.
[[nodiscard]] inline const char* tr_in(const char* context, const char* english) {
    return base::translate_in(context, english);
}

/// The form that goes with the number n, which is filled in first.
template <class... Rest>
[[nodiscard]] std::string tr_n(fmt::format_string<std::int64_t&, Rest...> one,
                               fmt::format_string<std::int64_t&, Rest...> many, std::int64_t n,
                               Rest&&... rest) {
    const fmt::string_view single = one, several = many;
    return fmt::vformat(base::translate_count(single.data(), several.data(), n),
                        fmt::make_format_args(n, rest...));
}

}  // namespace plumbmark::desk
