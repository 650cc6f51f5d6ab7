// What 'plumbmark lens' says of a lens that was measured: on the terminal, as lines for a points file, and as
// JSON.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sight/chessboard.h"
#include "sight/lens.h"

namespace plumbmark::cli {

/// A picture, and what was found in it.
struct BoardPicture {
    std::string file;
    std::string why_not;             ///< no board was found; empty: it was
    std::vector<sight::Pixel> seen;  ///< corners in the order of sight::places_of
};

struct FoundLens {
    std::string name;  ///< what people call the camera; may be empty
    sight::Board board;
    sight::LensForm form;
    const std::vector<BoardPicture>& pictures;  ///< all; the views of 'lens' are those with a board
    const sight::MeasuredLens& lens;
};

[[nodiscard]] std::string told_as_text(const FoundLens& found);
/// The [lens] of a points file (docs/camera-points.md).
[[nodiscard]] std::string told_as_points(const FoundLens& found);
/// "plumbmark-lens/1", docs/command-line.md.
[[nodiscard]] std::string told_as_json(const FoundLens& found);

}  // namespace plumbmark::cli
