// Lines of a plan as a camera sees them: bent by the lens, cut off behind it, and which parts of them other
// things of the plan hide. Values; any thread.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "sight/camera.h"

namespace plumbmark::sight {

/// Something that hides what is behind it: upright, over an outline seen from above (three corners or more,
/// in either order, not crossing itself), from 'bottom' to 'top', metres.
struct Block {
    std::vector<std::array<double, 2>> outline;
    double bottom = 0, top = 0;
};

/// A part of a line, seen or hidden, as points of the picture; two or more.
struct SeenStretch {
    std::vector<Pixel> points;
    bool hidden = false;
};

/// Where a straight line from one place to another is seen. It is looked at about every 'step' metres (and at
/// no more than 400 places), so that what a lens bends is bent; the change from seen to hidden is right to a
/// step. A block does not hide the line along its own faces and edges: what lies within a millimetre of a
/// block is not hidden by it.
[[nodiscard]] std::vector<SeenStretch> seen_line(const Camera& camera, Vec3 from, Vec3 to,
                                                 const std::vector<Block>& blocks, double step = 0.05);

/// Whether something of these hides a place from the camera.
[[nodiscard]] bool is_hidden(const Camera& camera, Vec3 place, const std::vector<Block>& blocks);

}  // namespace plumbmark::sight
