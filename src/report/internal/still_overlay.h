// What is drawn over a still, the same on a page and on paper.
#pragma once

#include <vector>

#include "report/internal/paper.h"
#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// The surfaces, the planes with ticks to their far side, the ring round the contact, and the names, in the
/// still's pixels and in the order in which they are drawn. Points that are no numbers are left out.
[[nodiscard]] std::vector<paper::Stroke> still_overlay(const RulingDocument& document, const Still& still);

/// The quality at which every sheet keeps its stills, as media::encode_jpeg counts it.
inline constexpr int kStillQuality = 85;

}  // namespace plumbmark::report
