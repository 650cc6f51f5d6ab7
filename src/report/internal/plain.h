// Text made fit for where it is going.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace plumbmark::report {

/// Well-formed UTF-8 without anything that steers a terminal or turns a line round: line breaks and tabs
/// become spaces; other control characters (C0, DEL, C1), bidirectional embeddings, overrides and isolates,
/// and malformed bytes become U+FFFD. Plain marks of direction (LRM, RLM, ALM), which names in some scripts
/// need, stay.
[[nodiscard]] std::string plain(std::string_view text);

/// plain() with & < > " ' written as character references: inert both between tags and inside a quoted
/// attribute.
[[nodiscard]] std::string html(std::string_view text);

/// Base64 of RFC 4648, section 4, with padding.
[[nodiscard]] std::string base64(const std::vector<std::uint8_t>& bytes);

}  // namespace plumbmark::report
