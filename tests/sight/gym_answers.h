// What the cameras of the gym take say of each other and of the tape, as numbers: for the tests, and for the
// figures of docs/real-footage-planes.md.
#pragma once

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>
#include <utility>

#include "gym_cameras.h"
#include "sight/crossing.h"
#include "sight/internal/chi_square.h"
#include "sight/measure.h"

namespace plumbmark::gym {

using namespace sight;

/// Says it once for all tests.
inline std::optional<std::array<Camera, 4>> published() {
    if (!std::filesystem::exists(calibration_file())) {
        WARN("skipped: the gym take's calibration is not beside the project");
        return std::nullopt;
    }
    auto out = published_cameras();
    REQUIRE(out);
    return out;
}

inline CalibratedCamera own_camera(const Picture& picture, const std::array<Camera, 4>& published,
                                   const std::vector<Place>& without = {}) {
    auto found = calibrate(sightings_of(picture, lens_of(picture, published), without));
    INFO(picture.name << ": " << (found ? "" : found.error().text()));
    REQUIRE(found);
    return std::move(*found);
}

/// Of the four clips.
inline std::vector<CalibratedCamera> own_cameras(const std::array<Camera, 4>& published) {
    std::vector<CalibratedCamera> out;
    for (std::size_t i = 0; i < kClips; ++i)
        out.push_back(own_camera(pictures()[i], published));
    return out;
}

inline std::vector<CalibratedCamera> at_their_word(const std::array<Camera, 4>& published) {
    std::vector<CalibratedCamera> out;
    for (std::size_t i = 0; i < kClips; ++i)
        out.push_back(at_its_word(pictures()[i], published));
    return out;
}

/// v C^-1 v of two or three components.
inline double chi_of(const std::vector<double>& v, std::vector<std::vector<double>> c) {
    std::vector<double> solved = v;
    const std::size_t n = v.size();
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t r = 0; r < n; ++r) {
            if (r == i) continue;
            const double by = c[r][i] / c[i][i];
            for (std::size_t k = i; k < n; ++k)
                c[r][k] -= by * c[i][k];
            solved[r] -= by * solved[i];
        }
    double out = 0;
    for (std::size_t i = 0; i < n; ++i)
        out += v[i] * solved[i] / c[i][i];
    return out;
}

/// How differences lie in their own stated spread.
struct Share {
    int all = 0, within = 0;  ///< of them within 95 %
    double chi = 0;
    int degrees = 0;
    void take(double chi_square, int of) {
        ++all;
        within += chi_square < chi_square_quantile(kLikely, of);
        chi += chi_square;
        degrees += of;
    }
};
inline std::ostream& operator<<(std::ostream& out, const Share& share) {
    return out << share.within << " of " << share.all << " within 95 %, chi-square " << share.chi << " of "
               << share.degrees << " degrees";
}

template <class Visit>
void each_pair(const Thing& thing, Visit visit) {
    for (std::size_t i = 0; i < thing.seen.size(); ++i)
        for (std::size_t j = i + 1; j < thing.seen.size(); ++j)
            visit(thing.seen[i], thing.seen[j]);
}

inline Meeting met(const std::vector<CalibratedCamera>& cameras, const InClip& one, const InClip& other,
                   double standard, const UprightPlane* plane = nullptr) {
    auto out = seen_by_two(cameras[one.camera], {one.at, standard, {}}, cameras[other.camera],
                           {other.at, standard, {}}, plane);
    REQUIRE(out);
    return *out;
}

/// Misses of what was not calibrated with: marks on the deck and markers on the feet.
struct Misses {
    Share share;
    int meet = 0;
    double largest = 0;  ///< metres
};
inline Misses misses_of(const std::vector<CalibratedCamera>& cameras) {
    Misses out;
    for (const auto& [things, standard] :
         {std::pair{&deck_marks(), kDeckStandard}, {&markers(), kMarkerStandard}})
        for (const Thing& thing : *things)
            each_pair(thing, [&, by = standard](const InClip& one, const InClip& other) {
                const Meeting meeting = met(cameras, one, other, by);
                out.share.take(meeting.miss_normalised * meeting.miss_normalised, 1);
                out.meet += meeting.meets;
                out.largest = std::max(out.largest, std::abs(meeting.miss));
            });
    return out;
}

/// A plane across the rail; past it is towards the front cameras.
inline UprightPlane across_rail(double x) {
    UprightPlane plane;
    plane.ends = {{{x, -0.3, 0, {}}, {x, 0.3, 0, {}}}};
    plane.past_is_left = false;
    return plane;
}
inline constexpr double kKeelLine = -0.85;

/// What a quantity of two cameras is worth, by their own unknowns.
struct Worth {
    double value, standard;
};
template <class Quantity>
Worth worth_of(const CalibratedCamera& one, const CalibratedCamera& other, Quantity quantity) {
    double variance = 0;
    for (const CalibratedCamera* camera : {&one, &other}) {
        std::array<double, CalibratedCamera::kOwn> by{};
        for (std::size_t i = 0; i < by.size(); ++i) {
            std::array<double, CalibratedCamera::kOwn> step{};
            const double size = 1e-6;
            step[i] = size;
            const Camera there = moved(camera->camera, step.data());
            const double value = camera == &one ? quantity(there, other.camera) : quantity(one.camera, there);
            by[i] = (value - quantity(one.camera, other.camera)) / size;
        }
        for (std::size_t i = 0; i < by.size(); ++i)
            for (std::size_t j = 0; j < by.size(); ++j)
                variance += by[i] * by[j] * camera->covariance[i * camera->unknowns() + j];
    }
    return {quantity(one.camera, other.camera), std::sqrt(variance)};
}

inline double apart(const Camera& one, const Camera& other) {
    return length(centre(one) - centre(other));
}

inline Vec3 looks(const Camera& camera) {
    return {camera.pose.turn[2][0], camera.pose.turn[2][1], camera.pose.turn[2][2]};
}
/// Degrees between the directions in which two cameras look.
inline double between_looks(const Camera& one, const Camera& other) {
    return std::acos(dot(looks(one), looks(other))) * 180 / M_PI;
}

/// Where a picture's place was pointed at.
inline const SeenPlace* seen_in(const Picture& picture, Place place) {
    for (const SeenPlace& one : picture.points)
        if (one.place == place) return &one;
    return nullptr;
}

/// How far from the tape's measures a pair of cameras finds a place.
struct OffTape {
    Vec3 off, standard;
    double chi = 0;
};
inline OffTape off_tape(const CalibratedCamera& first, const SeenPlace& in_first,
                        const CalibratedCamera& second, const SeenPlace& in_second) {
    const auto meeting = seen_by_two(first, {in_first.at, in_first.standard, {}}, second,
                                     {in_second.at, in_second.standard, {}});
    REQUIRE(meeting);
    OffTape out;
    out.off = meeting->position.at - board()[in_first.place].at;
    std::vector<std::vector<double>> c(3, std::vector<double>(3));
    for (std::size_t a = 0; a < 3; ++a)
        for (std::size_t b = 0; b < 3; ++b)
            c[a][b] = meeting->position.covariance[a][b] + (a == b ? kTape * kTape / 3 : 0);
    out.standard = {std::sqrt(c[0][0]), std::sqrt(c[1][1]), std::sqrt(c[2][2])};
    out.chi = chi_of({out.off.x, out.off.y, out.off.z}, c);
    return out;
}

/// Places that no camera was told, found by pairs of cameras, against the tape. The rail's two edges are left
/// out together, as they are 2 cm apart. A camera that cannot be placed without them takes no part.
inline Share left_out(const std::array<Camera, 4>& cameras, std::ostream* say) {
    Share share;
    for (const std::vector<Place>& group :
         std::vector<std::vector<Place>>{{front_right},
                                         {front_left},
                                         {back_right},
                                         {back_left},
                                         {rail_front_right, rail_front_left},
                                         {rail_back_right, rail_back_left}}) {
        std::vector<std::optional<CalibratedCamera>> own;
        for (std::size_t i = 0; i < kClips; ++i) {
            auto found = calibrate(sightings_of(pictures()[i], lens_of(pictures()[i], cameras), group));
            own.push_back(found ? std::optional(std::move(*found)) : std::nullopt);
            if (!found && say != nullptr)
                *say << "without " << board()[group.front()].name << " camera " << i + 1 << " is refused\n";
        }
        for (const Place place : group)
            for (std::size_t i = 0; i < kClips; ++i)
                for (std::size_t j = i + 1; j < kClips; ++j) {
                    const SeenPlace *one = seen_in(pictures()[i], place),
                                    *other = seen_in(pictures()[j], place);
                    if (!own[i] || !own[j] || one == nullptr || other == nullptr) continue;
                    const OffTape found = off_tape(*own[i], *one, *own[j], *other);
                    share.take(found.chi, 3);
                    if (say == nullptr) continue;
                    *say << board()[place].name << ", cameras " << i + 1 << " and " << j + 1 << ": off by "
                         << 1000 * found.off.x << ", " << 1000 * found.off.y << ", " << 1000 * found.off.z
                         << " mm +- " << 1000 * found.standard.x << ", " << 1000 * found.standard.y << ", "
                         << 1000 * found.standard.z << "; chi-square " << found.chi << '\n';
                }
    }
    return share;
}

/// Points of a left foot in one camera and of a right foot in another, at a frame on which both rest.
struct TwoFeet {
    int pairs = 0, meet = 0;
    double nearest = 1e9;  ///< metres from where such a pair met to either of its things
};

inline TwoFeet two_feet(const std::vector<CalibratedCamera>& own) {
    constexpr int kBothRest = 80;
    TwoFeet out;
    const auto of_foot = [](const Thing& thing, const char* side) {
        return thing.frame == kBothRest && std::string(thing.name).rfind(side, 0) == 0;
    };
    const auto place = [&](const Thing& thing) {
        return met(own, thing.seen[0], thing.seen[1], kMarkerStandard).position.at;
    };
    for (const Thing& left : markers())
        for (const Thing& right : markers()) {
            if (!of_foot(left, "left") || !of_foot(right, "right")) continue;
            for (const InClip& one : left.seen)
                for (const InClip& other : right.seen) {
                    if (one.camera == other.camera) continue;
                    const auto meeting = seen_by_two(own[one.camera], {one.at, kMarkerStandard, {}},
                                                     own[other.camera], {other.at, kMarkerStandard, {}});
                    ++out.pairs;
                    if (!meeting || !meeting->meets) continue;
                    ++out.meet;
                    for (const Thing* thing : {&left, &right})
                        out.nearest = std::min(out.nearest, length(meeting->position.at - place(*thing)));
                }
        }
    return out;
}

struct Contacts {
    Share single, planes, pairs;
};

/// Each contact from each camera on its level, and from the pair.
inline Contacts contacts_of(const std::vector<CalibratedCamera>& own, std::ostream* say) {
    Contacts out;
    const UprightPlane plane = across_rail(kKeelLine);
    const Level top{0, 0, {rail_front_right, rail_front_left, rail_back_right, rail_back_left}};
    const auto compare = [&](const Thing& thing, const Level& level, double standard) {
        each_pair(thing, [&](const InClip& one, const InClip& other) {
            const auto first = on_level(own[one.camera], {one.at, standard, {}}, level, &plane);
            const auto second = on_level(own[other.camera], {other.at, standard, {}}, level, &plane);
            REQUIRE(first);
            REQUIRE(second);
            const Vec3 off = first->position.at - second->position.at;
            std::vector<std::vector<double>> c(2, std::vector<double>(2));
            for (std::size_t a = 0; a < 2; ++a)
                for (std::size_t b = 0; b < 2; ++b)
                    c[a][b] = first->position.covariance[a][b] + second->position.covariance[a][b];
            out.single.take(chi_of({off.x, off.y}, c), 2);
            const double apart = first->distance->best.low - second->distance->best.low;
            const double by = std::hypot(first->distance->standard, second->distance->standard);
            out.planes.take(apart * apart / (by * by), 1);
            const Meeting meeting = met(own, one, other, standard, &plane);
            // The same point without its level: the pair finds the height.
            const double height = meeting.position.at.z - first->position.at.z;
            const double spread =
                std::sqrt(meeting.position.covariance[2][2] + first->position.covariance[2][2]);
            out.pairs.take(height * height / (spread * spread), 1);
            if (say != nullptr)
                *say << thing.name << ", frame " << thing.frame << ", cameras " << one.camera + 1 << " and "
                     << other.camera + 1 << ": past the plane by " << 1000 * first->distance->best.low
                     << " +- " << 1000 * first->distance->standard << " and "
                     << 1000 * second->distance->best.low << " +- " << 1000 * second->distance->standard
                     << " mm, both " << 1000 * meeting.distance->best.low << " +- "
                     << 1000 * meeting.distance->standard << " mm; off across the rail by " << 1000 * off.y
                     << " mm; height by the pair " << 1000 * meeting.position.at.z << " +- "
                     << 1000 * std::sqrt(meeting.position.covariance[2][2]) << " mm; miss "
                     << 1000 * meeting.miss << " mm\n";
        });
    };
    for (const Thing& thing : contacts())
        compare(thing, top, kContactStandard);
    for (const Thing& thing : deck_marks())
        compare(thing, {-0.016, 0.005, {}}, kDeckStandard);
    return out;
}

/// Whether one instant lies in all brackets, of clips that ran exactly together.
inline bool overlap(const std::vector<Between>& brackets) {
    int early = brackets.front().early, late = brackets.front().late;
    for (const Between& one : brackets) {
        early = std::max(early, one.early);
        late = std::min(late, one.late);
    }
    return early < late;
}

/// The swinging ankle in the third clip and in the fourth some frames later. 'frames': how far the fourth may
/// be off by.
inline std::vector<Meeting> swing_met(const std::vector<CalibratedCamera>& own, int later, double frames) {
    std::vector<Meeting> out;
    for (std::size_t i = 1; i + 1 < swing().size(); i += 2) {
        const std::size_t k = static_cast<std::size_t>(static_cast<int>(i) + later);
        const Pixel before = swing()[i - 1].in_fourth, after = swing()[i + 1].in_fourth;
        const Pixel along{frames * (after.x - before.x) / 2, frames * (after.y - before.y) / 2};
        auto meeting = seen_by_two(own[2], {swing()[i].in_third, kSwingThird, {}}, own[3],
                                   {swing()[k].in_fourth, kSwingFourth, along});
        REQUIRE(meeting);
        out.push_back(*meeting);
    }
    return out;
}

inline double mean_miss(const std::vector<Meeting>& meetings) {
    double sum = 0;
    for (const Meeting& one : meetings)
        sum += one.miss;
    return sum / static_cast<double>(meetings.size());
}

/// Frames by which the fourth clip would have to be shifted for no miss.
inline double frames_off(const std::vector<Meeting>& a_frame_before, const std::vector<Meeting>& together,
                         const std::vector<Meeting>& a_frame_later) {
    const double a_frame = (mean_miss(a_frame_later) - mean_miss(a_frame_before)) / 2;
    return -mean_miss(together) / a_frame;
}

inline CrossingQuestion ankle_crossing(std::size_t camera, std::size_t from, std::size_t step) {
    CrossingQuestion out;
    out.plane = across_rail(kKeelLine);
    // The ankle is above the rail's top and below the knee, and over or beside the board.
    out.space = {0.12, 0.24, 0.3, 0.5};
    for (std::size_t i = from; i < swing().size(); i += step) {
        const SwingFrame& one = swing()[i];
        const bool third = camera != 3;
        CrossingFrame frame{one.frame / kFrameRate,
                            {third ? one.in_third : one.in_fourth, third ? kSwingThird : kSwingFourth, {}},
                            {}};
        if (camera == kClips) frame.in_second = Pointing{one.in_fourth, kSwingFourth, {}};
        out.frames.push_back(frame);
    }
    return out;
}

inline Crossing crossed(const std::vector<CalibratedCamera>& own, std::size_t camera, std::size_t from = 0,
                        std::size_t step = 1) {
    const bool two = camera == kClips;
    auto out = crossing(own[two ? 2 : camera], ankle_crossing(camera, from, step), two ? &own[3] : nullptr);
    INFO((out ? "" : out.error().text()));
    REQUIRE(out);
    return *out;
}

inline bool meets(const Span& one, const Span& other) {
    return one.low <= other.high && other.low <= one.high;
}

}  // namespace plumbmark::gym
