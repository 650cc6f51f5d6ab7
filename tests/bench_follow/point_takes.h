// What points are followed over, for the bench and the tests, and what came of it.
#pragma once

#include <chrono>
#include <cstdio>
#include <string>
#include <vector>

#include "bench_follow/moving_patch.h"
#include "follow/point_track.h"

namespace plumbmark::point_takes {

struct Tally {
    std::vector<double> errors, x, y;  ///< pixels; over their standard deviations
    int lost = 0, within = 0;
    double milliseconds = 0;
    [[nodiscard]] int found() const { return static_cast<int>(errors.size()); }
    [[nodiscard]] double share_within() const {
        return errors.empty() ? 0 : within / static_cast<double>(found());
    }
    [[nodiscard]] double percentile(double share) const {
        if (errors.empty()) return 0;
        std::vector<double> sorted = errors;
        std::sort(sorted.begin(), sorted.end());
        return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
    }
    void add(const Tally& other) {
        errors.insert(errors.end(), other.errors.begin(), other.errors.end());
        x.insert(x.end(), other.x.begin(), other.x.end());
        y.insert(y.end(), other.y.begin(), other.y.end());
        lost += other.lost;
        within += other.within;
        milliseconds += other.milliseconds;
    }
};

inline double spread(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values)
        sum += value * value;
    return values.empty() ? 0 : std::sqrt(sum / static_cast<double>(values.size()));
}

inline void print(const std::string& name, const char* patch, const Tally& tally) {
    const int all = std::max(1, tally.found() + tally.lost);
    std::printf("| %s | %s | %d | %.3f | %.3f | %.1f %% | %.1f %% | %.2f | %.2f | %.1f |\n", name.c_str(),
                patch, all, tally.percentile(0.5), tally.percentile(0.95), 100.0 * tally.lost / all,
                100 * tally.share_within(), spread(tally.x), spread(tally.y), tally.milliseconds / all);
    std::fflush(stdout);
}

struct Kind {
    std::string name;
    double fine = 1.5, coarse = 5, contrast = 30;
    double speed = 4;   ///< pixels a picture, at most
    double turn = 0;    ///< degrees a picture, at most
    double growth = 0;  ///< part of its size, at most
    double noise = 2, exposure = 0, flicker = 0, limb = 0;
    bool edge = false;
    bool compressed = false;  ///< taken through a clip as well
};

inline std::vector<Kind> kinds() {
    std::vector<Kind> all;
    all.push_back({.name = "moving, noise 2", .compressed = true});
    all.push_back({.name = "noise 5, faint", .contrast = 12, .noise = 5});
    all.push_back({.name = "soft, noise 3", .fine = 4, .coarse = 8, .contrast = 20, .noise = 3});
    all.push_back({.name = "exposed for half the time", .speed = 7, .noise = 2, .exposure = 0.5});
    all.push_back({.name = "flickering light", .flicker = 0.25});
    all.push_back({.name = "turning and growing", .turn = 3, .growth = 0.015});
    all.push_back(
        {.name = "limb 30 wide before a wall", .turn = 1.5, .growth = 0.01, .limb = 30, .compressed = true});
    all.push_back({.name = "limb 18 wide before a wall", .turn = 1.5, .growth = 0.01, .limb = 18});
    all.push_back({.name = "all of it, limb 30",
                   .contrast = 25,
                   .speed = 6,
                   .turn = 1.5,
                   .growth = 0.01,
                   .noise = 3,
                   .exposure = 0.3,
                   .flicker = 0.15,
                   .limb = 30});
    all.push_back({.name = "an edge", .speed = 3, .edge = true});
    return all;
}

inline constexpr int kEachWay = 10;

struct Made {
    moving_patch::Scene scene;
    follow::Point own;
};

inline Made make(const Kind& kind, std::uint32_t seed) {
    using namespace moving_patch;
    Chance chance(seed);
    Motion motion;
    const double way = chance.between(0, 2 * std::numbers::pi), speed = chance.between(0.2, 1) * kind.speed;
    motion.velocity = {speed * std::cos(way), speed * std::sin(way)};
    motion.acceleration = {chance.between(-0.05, 0.05) * speed, chance.between(-0.05, 0.05) * speed};
    motion.at = {120 + chance.between(-1, 1), 90 + chance.between(-1, 1)};
    motion.turn = chance.between(-1, 1) * kind.turn * std::numbers::pi / 180;
    motion.growth = chance.between(-1, 1) * kind.growth;
    Take take;
    take.noise = kind.noise;
    take.exposure = kind.exposure;
    take.flicker = kind.flicker;
    take.limb = kind.limb;
    take.seed = seed;
    const follow::Point own{chance.between(-8, 8), chance.between(-2, 2)};
    Pattern thing = kind.edge ? Pattern::edge(chance.between(0, 6.3), 1)
                              : Pattern::grained(seed, kind.fine, kind.coarse, kind.contrast);
    return {Scene(std::move(thing), Pattern::grained(seed + 5000, kind.fine, 9, kind.contrast),
                  Pattern::flat(), motion, take),
            own};
}

inline void judge(const follow::FollowedPoint& point, const follow::Point& truth, Tally& tally) {
    if (!point.found()) {
        ++tally.lost;
        return;
    }
    const double x = point.at[0] - truth[0], y = point.at[1] - truth[1];
    tally.errors.push_back(std::hypot(x, y));
    tally.x.push_back(x / point.standard({1, 0}));
    tally.y.push_back(y / point.standard({0, 1}));
    tally.within += point.within_95(truth) ? 1 : 0;
}

/// The shifted patch and the affine one over the same pictures.
struct Both {
    Tally shifted, affine;
};

inline void follow_one(const Made& made, const std::vector<follow::GreyPicture>& pictures,
                       const follow::PointSettings& settings, Tally& tally) {
    const auto began = std::chrono::steady_clock::now();
    const auto track =
        follow::PointTrack::follow(pictures, kEachWay, made.scene.truth(made.own, 0), settings);
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - began;
    tally.milliseconds += took.count();
    for (int n = -kEachWay; n <= kEachWay; ++n)
        if (n != 0)
            judge(track.value().points[static_cast<std::size_t>(n + kEachWay)], made.scene.truth(made.own, n),
                  tally);
}

inline void follow_both(const Made& made, const std::vector<follow::GreyPicture>& pictures,
                        double compression, Both& both) {
    follow_one(made, pictures, {follow::PatchChange::none, compression}, both.shifted);
    follow_one(made, pictures, {follow::PatchChange::affine, compression}, both.affine);
}

inline Both run(const Kind& kind, int scenes, std::uint32_t more) {
    Both both;
    for (int i = 0; i < scenes; ++i) {
        const Made made = make(kind, static_cast<std::uint32_t>(i) * 31U + 1U + more);
        const auto pictures = made.scene.pictures(-kEachWay, kEachWay);
        follow_both(made, pictures, 0, both);
    }
    return both;
}

}  // namespace plumbmark::point_takes
