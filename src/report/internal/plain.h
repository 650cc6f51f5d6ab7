// Text made fit for where it is going.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/sentence.h"

namespace plumbmark::report {

/// Well-formed UTF-8 without anything that steers a terminal or turns a line round: line breaks and tabs
/// become spaces; other control characters (C0, DEL, C1), bidirectional embeddings, overrides and isolates,
/// and malformed bytes become U+FFFD. Plain marks of direction (LRM, RLM, ALM), which names in some scripts
/// need, stay.
[[nodiscard]] std::string plain(std::string_view text);
/// In both its languages.
[[nodiscard]] base::Sentence plain_both(const base::Sentence& sentence);

/// A name in the midst of a sentence: plain(), in an isolate (Unicode Standard Annex 9), so that its
/// direction of writing reaches no further. Empty stays empty.
[[nodiscard]] std::string isolated(std::string_view name);

/// For sentences that were made of plain() and isolated() parts: as plain(), but the isolates stay.
[[nodiscard]] std::string printable(std::string_view text);

/// A sentence without its isolates, for terminals and for programs.
[[nodiscard]] std::string unisolated(std::string_view text);

/// printable() as HTML: & < > " ' written as character references, isolates as <bdi> elements. For what
/// stands between tags, not in attributes; the isolates are those of isolated(), each with its end.
[[nodiscard]] std::string escaped(std::string_view text);

/// plain() with & < > " ' written as character references: inert both between tags and inside a quoted
/// attribute.
[[nodiscard]] std::string html(std::string_view text);

/// Base64 of RFC 4648, section 4, with padding.
[[nodiscard]] std::string base64(const std::vector<std::uint8_t>& bytes);

}  // namespace plumbmark::report
