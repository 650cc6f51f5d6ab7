// What a camera can see of a contact or a crossing: lines of sight past the world and past the athlete's own
// body.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "contacts.h"
#include "runs.h"

namespace plumbmark::scene {

/// True when the view records that moment and at least half of the limb's skin near the contact (points
/// within 6 cm along the limb, on the side towards the camera) lies in the picture with nothing before it.
[[nodiscard]] bool sees_contact(const Run& run, const View& view, const Contact& contact);

/// True when the view records that moment and the point lies in the picture with nothing before it (2 cm
/// allowed).
[[nodiscard]] bool sees_point(const Run& run, const View& view, double t, Vec3 point);

/// Outlines of the still surfaces and of the hawser at rest as the camera sees them: convex polygons in
/// pixels of the displayed picture, cut at the picture's edge; empty where nothing of a surface is in the
/// picture.
using Polygon = std::vector<std::array<double, 2>>;
[[nodiscard]] std::map<std::string, std::vector<Polygon>> outlines(const View& view);

}  // namespace plumbmark::scene
