// The ruling sheet: what is printed, signed and shown to the coach.
#pragma once

#include <string>
#include <vector>

#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// A page of HTML that needs nothing but itself: style inline, pictures as data, no script, nothing fetched.
/// A4 upright when printed, one page where it can be. Stills that share station, mark and clip stand side by
/// side, in the order given; a still whose picture cannot be encoded leaves its reason in its place. All
/// names are inert text. Pure but for the time it takes to encode the stills (about 10 ms each at 640 x 480);
/// any thread.
[[nodiscard]] std::string ruling_sheet_html(const RulingDocument& document, const std::vector<Still>& stills);

}  // namespace plumbmark::report
