// The ruling sheet on paper.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "report/paper_size.h"
#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// The bytes of a PDF that says what ruling_sheet_html() says: one page where it can be (letters are made
/// smaller for that by up to 8 %, pictures down to two fifths), else as many as it takes, numbered, with no
/// heading alone at a page's end. Text is text, with its fonts inside; it is tagged in reading order, its
/// language is English, and it holds no time of its making: the same document and stills give the same bytes
/// where the same fonts are installed. Any names are drawn: what no font has as a box, malformed bytes as
/// U+FFFD. Error io when it cannot be drawn. Any thread, several at once.
[[nodiscard]] base::Result<std::string> ruling_sheet_pdf(const RulingDocument& document,
                                                         const std::vector<Still>& stills,
                                                         PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
