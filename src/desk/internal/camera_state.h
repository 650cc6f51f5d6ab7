// What pointing at the plan's places keeps, and what it asks for.
#pragma once

#include <array>
#include <optional>
#include <variant>
#include <vector>

#include "meet/changes.h"
#include "review/camera_stands.h"

namespace plumbmark::desk {

// --- what is asked for ---
struct KeepStand {
    meet::CameraStand stand;
    std::optional<meet::CameraLens> lens;  ///< one that the meet does not have yet
};
struct DropStand {
    meet::StandId id;
};
/// This place is the next to be pointed at.
struct AskForSpot {
    int spot;
};
/// The chosen mark's own place in the frame on the screen.
struct PointAtMark {
    meet::MarkId mark;
    std::optional<std::array<double, 2>> at;  ///< none: it is not pointed at there any more
};
/// The mark's own place is looked for in the frames around the one on the screen.
struct FollowMarkPoint {
    meet::MarkId mark;
};
/// The instant that was measured of the chosen mark becomes part of it.
struct TakeMoment {
    meet::MarkId mark;
};
using CameraCommand =
    std::variant<KeepStand, DropStand, AskForSpot, PointAtMark, FollowMarkPoint, TakeMoment>;
struct OfCamera {
    CameraCommand command;
};

// --- what is kept ---
struct CameraMode {
    bool active = false;
    meet::CameraStand stand;                  ///< as it is pointed at so far
    std::optional<meet::CameraStand> stored;  ///< as the meet has it
    std::vector<review::PlanSpot> spots;
    std::vector<meet::CameraLens> lenses;  ///< that may be taken; those of the meet first, with their ids
    int lens = -2;      ///< of 'lenses'; -2: the focal length is found, -1: and how the lens bends
    int asked = -1;     ///< of 'spots'; -1: none is left
    bool edge = false;  ///< points are set on the edge from the asked place to the next of its surface
    std::array<double, 2> cross{0, 0};
    bool dragging = false;
    int in_sight = -2;  ///< the asked place that the panel scrolled to last
    [[nodiscard]] const meet::StandPoint* point(int spot) const;
    [[nodiscard]] const meet::StandEdge* edge_from(int spot) const;
    /// The next place of the same surface, going around it; -1: there is none.
    [[nodiscard]] int neighbour(int spot) const;
};

/// Pointing at a mark's own place on the frame on the screen.
struct PointMode {
    bool active = false;
    meet::MarkId mark;
    std::array<double, 2> cross{0, 0};
};

}  // namespace plumbmark::desk
