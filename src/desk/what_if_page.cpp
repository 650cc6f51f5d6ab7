#include "desk/internal/what_if_page.h"

namespace plumbmark::desk {

std::vector<PageLine> what_if_page(const report::WhatIfDocument& document) {
    std::vector<PageLine> page;
    for (const report::WhatIfLine& line : report::what_if_lines(document)) {
        const PageInk ink = line.depth == 0   ? PageInk::heading
                            : line.depth == 1 ? PageInk::body
                                              : PageInk::soft;
        page.push_back({line.text.spoken(), ink, line.depth});
    }
    return page;
}

}  // namespace plumbmark::desk
