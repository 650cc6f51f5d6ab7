#include "figure.h"

#include <algorithm>

namespace plumbmark::scene {
namespace {

constexpr Build kBuild;

// Joint between two bones of given lengths that reach from root to target, bent towards 'pole'. A target out
// of reach lengthens both bones; the caller reads by how much.
Vec3 middle_joint(Vec3 root, Vec3 target, double first, double second, Vec3 pole, double& stretch) {
    const Vec3 line = target - root;
    const double distance = std::max(length(line), 1e-6);
    const double reach = (first + second) * 0.9995;
    if (distance > reach) {
        const double factor = distance / reach;
        stretch = std::max(stretch, factor);
        first *= factor;
        second *= factor;
    }
    const double along =
        clamp((first * first - second * second + distance * distance) / (2 * distance), -first, first);
    const double out = std::sqrt(std::max(0.0, first * first - along * along));
    const Vec3 direction = line / distance;
    const Vec3 bend = unit(pole - direction * dot(pole, direction));
    return root + direction * along + bend * out;
}

}  // namespace

const char* name_of(Part part) {
    switch (part) {
        case Part::left_hand:
            return "left_hand";
        case Part::right_hand:
            return "right_hand";
        case Part::left_foot:
            return "left_foot";
        case Part::right_foot:
            return "right_foot";
        case Part::other:
            return "other";
    }
    return "other";
}

std::array<Vec3, 3> trunk_axes(const Posture& posture) {
    const double c = cosine(posture.lean);
    const double s = sine(posture.lean);
    return {Vec3{c, 0, -s}, Vec3{0, 1, 0}, Vec3{s, 0, c}};
}

Vec3 shoulder_middle(const Posture& posture) {
    return posture.pelvis + trunk_axes(posture)[2] * kBuild.trunk;
}

Skeleton skeleton_of(const Posture& posture) {
    Skeleton out;
    const auto [forward, left, up] = trunk_axes(posture);
    out.forward = forward;
    out.left = left;
    out.up = up;
    const Vec3 middle = shoulder_middle(posture);
    out.neck = middle + up * 0.06;
    out.head = middle + up * 0.185 + unit(Vec3{1, 0, 0} + forward) * 0.025;
    const Vec3 shoulder_line = left * cosine(posture.twist) + forward * sine(posture.twist);
    for (std::size_t i = 0; i < 2; ++i) {
        const double side = i == 0 ? 1 : -1;
        out.shoulder[i] = middle + shoulder_line * (side * kBuild.shoulder_half);
        out.hip[i] = posture.pelvis + Vec3{0, side * kBuild.hip_half, 0};
        const double c = cosine(posture.pitch[i]);
        const double s = sine(posture.pitch[i]);
        const Vec3 along{c, 0, s};
        const Vec3 above{-s, 0, c};
        out.toe[i] = posture.toe[i];
        out.heel[i] = posture.toe[i] - along * kBuild.foot_axis;
        out.ankle[i] = posture.toe[i] - along * kBuild.ankle_back + above * kBuild.ankle_up;
        // Knees point forward; of a leg that is raised, to the side of it that was its front.
        const Vec3 leg = unit(out.ankle[i] - out.hip[i]);
        const Vec3 knee_pole = mix(Vec3{1, side * 0.12, 0.35}, cross(leg, {0, 1, 0}), smooth(-0.4, 0, leg.z));
        out.knee[i] =
            middle_joint(out.hip[i], out.ankle[i], kBuild.thigh, kBuild.shin, knee_pole, out.stretch);
        const Vec3 elbow_pole = forward * -0.45 + left * (side * 0.75) + up * -0.55;
        out.elbow[i] = middle_joint(out.shoulder[i], posture.grip[i], kBuild.upper_arm,
                                    kBuild.forearm_to_grip, elbow_pole, out.stretch);
        out.grip[i] = posture.grip[i];
        out.wrist[i] = posture.grip[i] - unit(posture.grip[i] - out.elbow[i]) * 0.095;
    }
    return out;
}

namespace {

Shape hand_of(const Skeleton& s, std::size_t i) {
    const Vec3 along = unit(s.grip[i] - s.elbow[i]);
    return capsule(s.grip[i] - along * 0.08, s.grip[i], kBuild.hand_radius);
}

void add_limbs(const Skeleton& s, std::size_t i, std::vector<BodySolid>& out) {
    const Part foot = i == 0 ? Part::left_foot : Part::right_foot;
    const Part hand = i == 0 ? Part::left_hand : Part::right_hand;
    const Vec3 sleeve_end = mix(s.shoulder[i], s.elbow[i], 0.62);
    const Vec3 shorts_end = mix(s.hip[i], s.knee[i], 0.66);
    const Vec3 calf = mix(s.knee[i], s.ankle[i], 0.3) - s.forward * 0.008;
    out.push_back({round_cone(s.shoulder[i], sleeve_end, 0.052, 0.049), Part::other, Cloth::sleeve});
    out.push_back({round_cone(s.shoulder[i], s.elbow[i], 0.045, 0.035), Part::other, Cloth::skin});
    out.push_back({round_cone(s.elbow[i], s.wrist[i], 0.036, 0.025), Part::other, Cloth::skin});
    out.push_back({hand_of(s, i), hand, Cloth::skin});
    out.push_back({round_cone(s.hip[i], shorts_end, 0.088, 0.077), Part::other, Cloth::shorts});
    out.push_back({round_cone(s.hip[i], s.knee[i], 0.078, 0.054), Part::other, Cloth::skin});
    out.push_back({round_cone(s.knee[i], calf, 0.05, 0.052), Part::other, Cloth::skin});
    out.push_back({round_cone(calf, s.ankle[i], 0.052, 0.036), Part::other, Cloth::stocking});
    out.push_back({capsule(s.heel[i], s.toe[i], kBuild.foot_radius), foot, Cloth::shoe});
    out.push_back({round_cone(s.ankle[i], mix(s.heel[i], s.toe[i], 0.55), 0.042, 0.036), foot, Cloth::shoe});
}

}  // namespace

std::vector<BodySolid> body_of(const Skeleton& s) {
    std::vector<BodySolid> out;
    const Vec3 pelvis = (s.hip[0] + s.hip[1]) * 0.5;
    const Vec3 line = unit(s.shoulder[0] - s.shoulder[1]);
    const std::array<Vec3, 3> chest{cross(line, s.up), line, s.up};
    const std::array<Vec3, 3> hips{s.forward, s.left, s.up};
    out.push_back({ellipsoid(pelvis + s.up * 0.265, {0.098, 0.148, 0.19}, chest), Part::other, Cloth::shirt});
    out.push_back({ellipsoid(pelvis + s.up * 0.13, {0.094, 0.122, 0.15}, hips), Part::other, Cloth::shirt});
    out.push_back(
        {ellipsoid(pelvis + s.up * 0.015, {0.105, 0.135, 0.095}, hips), Part::other, Cloth::shorts});
    out.push_back({capsule(s.shoulder[0], s.shoulder[1], 0.05), Part::other, Cloth::shirt});
    out.push_back(
        {round_cone(s.neck - s.up * 0.05, s.head - s.up * 0.05, 0.052, 0.045), Part::other, Cloth::skin});
    const std::array<Vec3, 3> face{unit(Vec3{1, 0, 0} + s.forward), s.left,
                                   cross(unit(Vec3{1, 0, 0} + s.forward), s.left)};
    out.push_back({ellipsoid(s.head, {0.092, 0.074, 0.112}, face), Part::other, Cloth::skin});
    out.push_back({ellipsoid(s.head + face[2] * 0.028 - face[0] * 0.012, {0.108, 0.092, 0.1}, face),
                   Part::other, Cloth::helmet});
    add_limbs(s, 0, out);
    add_limbs(s, 1, out);
    return out;
}

std::vector<Shape> contact_solids(const Skeleton& s, Part part) {
    switch (part) {
        case Part::left_hand:
            return {hand_of(s, 0)};
        case Part::right_hand:
            return {hand_of(s, 1)};
        case Part::left_foot:
            return {capsule(s.heel[0], s.toe[0], kBuild.foot_radius)};
        case Part::right_foot:
            return {capsule(s.heel[1], s.toe[1], kBuild.foot_radius)};
        case Part::other:
            break;
    }
    std::vector<Shape> out;
    const Vec3 pelvis = (s.hip[0] + s.hip[1]) * 0.5;
    out.push_back(round_cone(pelvis, pelvis + s.up * 0.36, 0.11, 0.1));
    out.push_back(capsule(s.shoulder[0], s.shoulder[1], 0.052));
    out.push_back(capsule(s.head, s.head, 0.118));
    for (std::size_t i = 0; i < 2; ++i) {
        out.push_back(round_cone(s.shoulder[i], s.elbow[i], 0.052, 0.036));
        out.push_back(round_cone(s.elbow[i], s.wrist[i], 0.036, 0.025));
        out.push_back(round_cone(s.hip[i], s.knee[i], 0.088, 0.054));
        out.push_back(round_cone(s.knee[i], s.ankle[i], 0.052, 0.036));
    }
    return out;
}

}  // namespace plumbmark::scene
