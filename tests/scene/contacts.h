// When limbs touch and leave surfaces and when bodies pass planes: solved from the distance between the
// geometry of the limb and that of the surface over continuous time. Nothing here knows of keys.
//
// Method: conservative advancement. A limb moves at most kFastest, so with a gap of d nothing can change
// within d / kFastest; time is stepped by that much (at least kFinestStep) and a change of sign is then
// halved down to under a nanosecond. No contact longer than kFinestStep can be missed.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "course.h"
#include "motion.h"

namespace plumbmark::scene {

inline constexpr double kFastest =
    30.0;  ///< m/s, above any hand's and foot's speed (a test holds the runs to it)
inline constexpr double kFastestJoint =
    150.0;  ///< m/s, for other parts: a knee snaps as its leg comes straight
inline constexpr double kFinestStep = 0.5e-6;  ///< s

/// One change of sign of a gap.
struct Root {
    double t = 0;
    bool into = false;  ///< true: the gap went below zero (a touch)
};

/// All changes of sign of 'gap' in (from, to], where |d gap / dt| <= fastest. 'gap' may return less than the
/// true gap where it is positive (a bound), never another sign.
[[nodiscard]] std::vector<Root> roots_of(const std::function<double(double)>& gap, double from, double to,
                                         double fastest = kFastest);

/// Where a limb is nearest to a surface: the gap (negative: it is pressed in) and the nearest point of the
/// limb's skin.
struct Gap {
    double distance = 0;
    Vec3 point;
};
/// Gap between round cones and convex solids.
[[nodiscard]] Gap gap_between(const std::vector<Shape>& limb, const std::vector<Shape>& surface);

/// A limb comes onto a surface or leaves it.
struct Contact {
    double t = 0;
    Part part = Part::other;
    std::string surface;
    bool touch = false;
    Vec3 at;
};
/// All contacts of all parts with all surfaces in (from, to], in order of time. Contacts that stand at 'from'
/// are in 'standing' (as touches at 'from').
struct Contacts {
    std::vector<Contact> standing;
    std::vector<Contact> events;
};
[[nodiscard]] Contacts contacts_of(const Choreography& run, double from, double to);

/// A part (or, without one, the whole athlete) is wholly past a plane x = const, or no longer so.
struct Crossing {
    double t = 0;
    std::optional<Part> part;
    std::string plane;
    bool forward = true;
    Vec3 at;  ///< the part's last point
};
[[nodiscard]] std::vector<Crossing> crossings_of(const Choreography& run, double from, double to);

/// The moments at which a hand has pressed the bell plate in by its 3 mm of travel.
[[nodiscard]] std::vector<double> bell_strokes(const Choreography& run, double from, double to);

}  // namespace plumbmark::scene
