// The page on what another course book would change, in the window's language.
#pragma once

#include <vector>

#include "desk/internal/state.h"
#include "report/what_if_document.h"

namespace plumbmark::desk {

/// In English the lines of report::what_if_text, three spaces as one step in. The reasons are spoken where
/// the document was made by a thread that was Speaking.
[[nodiscard]] std::vector<PageLine> what_if_page(const report::WhatIfDocument& document);

}  // namespace plumbmark::desk
