// The jointed athlete: a posture in, solids out. Faces +x; +y is the left side, +z up; metres.
#pragma once

#include <array>
#include <vector>

#include "shape.h"

namespace plumbmark::scene {

enum class Part { left_hand, right_hand, left_foot, right_foot, other };
[[nodiscard]] const char* name_of(Part part);

/// Lengths of a youth of about 1.5 m (hip to sole 0.80, shoulder line 0.41 above the hip line, crown
/// at 1.51).
struct Build {
    double thigh = 0.37, shin = 0.36, upper_arm = 0.265, forearm_to_grip = 0.315;
    double hip_half = 0.075, shoulder_half = 0.155, trunk = 0.41;
    double foot_radius = 0.036, foot_axis = 0.165, ankle_back = 0.125, ankle_up = 0.035;
    double hand_radius = 0.032;
};

/// Index 0 is left, 1 is right.
struct Posture {
    Vec3 pelvis;       ///< middle of the hip line, taken as the centre of mass
    double lean = 0;   ///< of the trunk, radians, positive forward
    double twist = 0;  ///< of the shoulder line about the trunk, radians, positive: left shoulder forward
    std::array<Vec3, 2> toe;        ///< middle of the ball in the shoe's toe
    std::array<double, 2> pitch{};  ///< of the foot, radians, positive toes up
    std::array<Vec3, 2> grip;       ///< middle of the ball at the hand's end (the fingers)
};

enum class Cloth { skin, shirt, sleeve, shorts, stocking, shoe, helmet };

/// One solid of the body. 'limb' says which part of the rules it belongs to.
struct BodySolid {
    Shape shape;
    Part limb = Part::other;
    Cloth cloth = Cloth::skin;
};

/// The bones found by inverse kinematics.
struct Skeleton {
    std::array<Vec3, 2> shoulder, elbow, wrist, grip, hip, knee, ankle, heel, toe;
    Vec3 neck, head, forward, left, up;
    double stretch =
        1;  ///< how much the most strained limb had to be lengthened to reach its target; 1: not at all
};

/// Trunk axes for a posture: forward, left, up.
[[nodiscard]] std::array<Vec3, 3> trunk_axes(const Posture& posture);
/// Middle of the shoulder line.
[[nodiscard]] Vec3 shoulder_middle(const Posture& posture);

[[nodiscard]] Skeleton skeleton_of(const Posture& posture);

/// What is drawn.
[[nodiscard]] std::vector<BodySolid> body_of(const Skeleton& skeleton);

/// The solids of one part for contact and crossing: round cones only (a ball is one of length zero).
[[nodiscard]] std::vector<Shape> contact_solids(const Skeleton& skeleton, Part part);

}  // namespace plumbmark::scene
