// The ruling for programs. The form stands in docs/ruling-json.md, and as a JSON Schema in
// docs/ruling.schema.json.
#pragma once

#include <string>

#include "report/ruling_document.h"

namespace plumbmark::report {

/// The whole ruling as JSON (RFC 8259): UTF-8, members always in the same order, two spaces of indentation,
/// one line feed at the end. Times are integers in nanoseconds on the named clip's own clock, beside the
/// number of the frame. Bytes that are not UTF-8 become U+FFFD. The same document gives the same bytes. Pure;
/// any thread.
[[nodiscard]] std::string ruling_json(const RulingDocument& document);

}  // namespace plumbmark::report
