// What 'placing' prints: the map's best places as a table, or all of it as JSON.
#pragma once

#include <string>

#include "review/placing_told.h"

namespace plumbmark::cli {

struct PlacingFound {
    const review::Placing& placing;
    const sight::PlacingMap& map;
    review::PlacingAsked asked;
};

[[nodiscard]] std::string placing_text(const PlacingFound& found);
/// docs/command-line.md, 'placing --json'.
[[nodiscard]] std::string placing_json(const PlacingFound& found);

}  // namespace plumbmark::cli
