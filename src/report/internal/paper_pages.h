// Slices dealt out to pages.
#pragma once

#include <vector>

#include "report/internal/paper_slices.h"

namespace plumbmark::report::paper {

/// A slice at its place on a page.
struct OnPage {
    const Slice* slice = nullptr;  ///< one of those given, or the head of one
    double y = 0;                  ///< from the upper edge of what the page can hold
};
using Page = std::vector<OnPage>;

/// Each slice once, in order; heads again where their slices begin a page. What stays together goes to the
/// next page together, unless even an empty page is too small for it. There is always a first page. The
/// slices must outlive the pages.
[[nodiscard]] std::vector<Page> deal(const std::vector<Slice>& slices, double room);

}  // namespace plumbmark::report::paper
