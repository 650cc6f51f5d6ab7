// The stations of a ruling sheet, one rung each.
#pragma once

#include <string>

#include "report/ruling_document.h"

namespace plumbmark::report {

/// The <ol> of stations: shape, name, verdict word, reason, and under a contested station its clauses, the
/// ways it can have been and what would settle it.
[[nodiscard]] std::string sheet_rungs(const RulingDocument& document);

}  // namespace plumbmark::report
