// JSON texts: reading them strictly, and the canonical form of RFC 8785.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "base/result.h"

namespace plumbmark::store {

using Json = nlohmann::json;

/// Objects and arrays may stand in each other this deep; deeper texts are made to break readers.
inline constexpr std::size_t kDeepestNesting = 100;

/// Reads one JSON text. Any bytes are allowed. Error bad_input with line and column: not JSON, not UTF-8, a
/// member named twice in one object (RFC 7493 forbids it), a number outside the range of doubles, or nested
/// too deep.
[[nodiscard]] base::Result<Json> parse_json(std::string_view text);

/// The canonical form (RFC 8785): no white space, members sorted by UTF-16 code units, numbers as
/// number_text().
[[nodiscard]] std::string canonical_text(const Json& value);

/// A finite number as ECMAScript prints it (ECMA-262, Number::toString; RFC 8785 section 3.2.2.3).
[[nodiscard]] std::string number_text(double value);

}  // namespace plumbmark::store
