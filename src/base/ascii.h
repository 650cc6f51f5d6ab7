// Letters of ASCII alone: of names that programs give, as the endings of files. What people write may be in any
// script, and is compared otherwise (base/utf8.h).
#pragma once

#include <string>
#include <string_view>

namespace plumbmark::base {

/// A to Z as a to z, every other byte as it is, whatever the locale. Pure.
[[nodiscard]] constexpr char ascii_lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}
[[nodiscard]] inline std::string ascii_lower(std::string_view text) {
    std::string lower(text);
    for (char& c : lower)
        c = ascii_lower(c);
    return lower;
}

}  // namespace plumbmark::base
