// The moves an athlete makes on this course, as building blocks for the runs. Each block starts where the one
// before it ended and returns the second at which it ends. They say where limbs should be and when the
// athlete means to be there; when a limb really touches or leaves is solved afterwards from the geometry
// (contacts.h).
#pragma once

#include "course.h"
#include "motion.h"

namespace plumbmark::scene {

enum Side : std::size_t { kLeft = 0, kRight = 1 };

/// Writes keys into a choreography. Feet are placed by the ankle's x; a sole that bears weight gives by 4 mm.
class Script {
  public:
    Choreography c;

    void plant(Side foot, double t, double ankle_x, double y, double top, Ease ease = Ease::soft,
               double lift = 0);
    void leave(Side foot, double t);  ///< the foot stays where it is until t, rolling up on its toe
    void carry_foot(Side foot, double t, Vec3 from_pelvis, double pitch = -0.3, Ease ease = Ease::kick);
    void stay(Side foot, double t);  ///< the foot is still where it was
    void arm(Side hand, double t, Vec3 from_shoulders);
    void hold(Side hand, double t, Anchor anchor, Vec3 at, Ease ease = Ease::impact, double lift = 0);
    void keep(Side hand, double t);  ///< the hand is still where it was
    void arms_down(double t);
    void arms_out(double t);
};

/// How the athlete comes down on the coil deck.
struct DeckLanding {
    double seconds = 0.32;
    Vec3 pelvis{3.62, 0, 1.35};
    double left_ankle = 3.74;
};

void stand_at_start(Script& s);
/// Off the pier deck at 'go', over the bollards (right, left, right). Returns the time of coming down on the
/// coil deck.
double hop_bollards(Script& s, double go, const DeckLanding& landing);
/// From the coming down at 't' to standing still near the far edge.
double settle_on_coil(Script& s, double t);
/// Crouch, leap, swing and fly. Returns the time of coming down; the pelvis path ends there.
double swing_over(Script& s, double go);
/// Both feet down on the gantry deck at 't', then a step to the jumping-off place.
double settle_on_gantry(Script& s, double t);
/// Crouch and leap to the first rung. Returns the time at which both hands hold it.
double leap_to_rungs(Script& s, double go);
/// Hand over hand and down on the quay deck; ends standing before the bell plate.
double cross_rungs(Script& s, double t);
/// Strikes the bell plate with the right hand and steps back. Returns the end.
double strike_bell(Script& s, double t);

}  // namespace plumbmark::scene
