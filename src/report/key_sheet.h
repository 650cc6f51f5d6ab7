// The keys of the desk on paper, to lie beside the keyboard.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "report/paper_size.h"

namespace plumbmark::report {

struct KeyLine {
    std::string key;    ///< "Ctrl Shift Z"
    std::string words;  ///< what it does
    bool own = false;   ///< the person's own, not the one that the desk comes with
};
struct KeyLines {
    std::string title;
    std::vector<KeyLine> lines;
};

/// A PDF, as ruling_sheet_pdf() makes one: each group under its title, two keys side by side, an own key with
/// a mark that the foot explains. Error io. Any thread.
[[nodiscard]] base::Result<std::string> key_sheet_pdf(const std::vector<KeyLines>& groups,
                                                      const std::string& program_version,
                                                      PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
