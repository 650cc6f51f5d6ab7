// The sheet of releases on paper: every station with what the testers' trials prove of it, what is open, how
// it was rigged, and who released it.
#pragma once

#include <string>

#include "base/result.h"
#include "report/paper_size.h"
#include "report/trials_document.h"

namespace plumbmark::report {

/// A PDF as ruling_sheet_pdf() makes one, in English, on as many pages as it takes; at the top of each stands
/// that a release certifies nothing of structure, padding, fall height and rigging. The same document gives
/// the same bytes where the same fonts are installed. Photographs are printed where the document holds them,
/// and are named with their SHA-256 in any case. Error io when it cannot be drawn. Any thread.
[[nodiscard]] base::Result<std::string> release_sheet_pdf(const TrialsDocument& document,
                                                          PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
