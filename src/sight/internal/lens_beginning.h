// Where a board might have stood, and what the focal length might be, before anything is weighed.
#pragma once

#include <vector>

#include "sight/lens.h"

namespace plumbmark::sight {

/// The poses in which a lens would see the board about there, by T. Collins and A. Bartoli ('Infinitesimal
/// plane-based pose estimation', IJCV 2014) as OpenCV has it, the better one first; empty where there is
/// none.
[[nodiscard]] std::vector<Pose> board_poses(const BoardView& view, const Lens& lens);

struct LensBeginning {
    Lens lens;
    std::vector<Pose> poses;
    double sum = 0;  ///< of the squared residuals
};
/// Lenses without distortion, of focal lengths from a third of the picture's longer side to six times it,
/// with the best pose of each view; the best first. Those that see one of the views nowhere are left out.
[[nodiscard]] std::vector<LensBeginning> lens_beginnings(const std::vector<BoardView>& views, int width,
                                                         int height);

}  // namespace plumbmark::sight
