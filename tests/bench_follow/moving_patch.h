// Pictures of a patterned thing that moves by known parts of a pixel before a patterned wall: where each of
// its points lies at the middle of each exposure is known. Nothing here is shared with what follows the
// point.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

#include "follow/grey.h"
#include "follow/mapping.h"

namespace plumbmark::moving_patch {

using follow::Point;

/// mt19937, which is the same everywhere, without the library's distributions, which are not.
class Chance {
  public:
    explicit Chance(std::uint32_t seed) : numbers_(seed * 2654435761U + 17U) {}
    double between(double from, double to) { return from + (to - from) * (numbers_() / 4294967296.0); }
    /// Box and Muller 1958.
    double normal() {
        const double radius = std::sqrt(-2 * std::log((numbers_() + 1.0) / 4294967297.0));
        return radius * std::cos(between(0, 2 * std::numbers::pi));
    }

  private:
    std::mt19937 numbers_;
};

/// A pattern painted four times as fine as the pictures.
class Pattern {
  public:
    static constexpr int kFine = 4;

    /// Grain of two sizes (pixels of the pictures), of standard deviation 'contrast' about 120; begins again
    /// after 128 pixels.
    static Pattern grained(std::uint32_t seed, double fine, double coarse, double contrast) {
        Pattern pattern(128);
        pattern.wraps_ = true;
        Chance chance(seed);
        std::vector<double> sum(pattern.values_.size());
        for (const double size : {fine, coarse}) {
            std::vector<double> grain(sum.size());
            for (double& value : grain)
                value = chance.between(-1, 1);
            for (int i = 0; i < 3; ++i)
                pattern.smear(grain, std::max(1, static_cast<int>(size * kFine)));
            double squares = 0;
            for (const double value : grain)
                squares += value * value / static_cast<double>(grain.size());
            for (std::size_t i = 0; i < sum.size(); ++i)
                sum[i] += grain[i] / std::sqrt(2 * squares);
        }
        for (std::size_t i = 0; i < sum.size(); ++i)
            pattern.values_[i] = 120 + contrast * sum[i];
        return pattern;
    }
    /// Dark on one side, bright on the other, 'soft' pixels wide between them; the same all along.
    static Pattern edge(double angle, double soft) {
        constexpr int side = 340;
        Pattern pattern(side);
        for (int y = 0; y < pattern.side_; ++y)
            for (int x = 0; x < pattern.side_; ++x) {
                const double u = x / static_cast<double>(kFine) - side / 2.0,
                             v = y / static_cast<double>(kFine) - side / 2.0;
                pattern.values_[pattern.index(x, y)] =
                    120 + 60 * std::tanh((u * std::cos(angle) + v * std::sin(angle)) / soft);
            }
        return pattern;
    }
    static Pattern flat() {
        Pattern pattern(2);
        std::fill(pattern.values_.begin(), pattern.values_.end(), 120);
        return pattern;
    }

    /// In pixels of the pictures from the pattern's middle.
    [[nodiscard]] double at(double u, double v) const {
        const double x = inside(u * kFine + side_ / 2.0), y = inside(v * kFine + side_ / 2.0);
        const int left = static_cast<int>(x), top = static_cast<int>(y);
        const int right = left + 1 < side_ ? left + 1 : 0, bottom = top + 1 < side_ ? top + 1 : 0;
        const double a = x - left, b = y - top;
        return (values_[index(left, top)] * (1 - a) + values_[index(right, top)] * a) * (1 - b) +
               (values_[index(left, bottom)] * (1 - a) + values_[index(right, bottom)] * a) * b;
    }

  private:
    explicit Pattern(int side)
        : side_(side * kFine), values_(static_cast<std::size_t>(side_) * static_cast<std::size_t>(side_)) {}
    [[nodiscard]] std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(side_) + static_cast<std::size_t>(x);
    }
    /// Within the pattern: begun again, or its border going on.
    [[nodiscard]] double inside(double place) const {
        if (!wraps_) return std::clamp(place, 0.0, side_ - 1.001);
        return std::min(place - side_ * std::floor(place / side_), side_ - 1e-9);
    }
    void smear(std::vector<double>& values, int width) const {
        const auto along = [&](std::size_t line, std::size_t step) {
            std::vector<double> sums(static_cast<std::size_t>(side_ + width) + 1);
            for (int i = 0; i < side_; ++i) {
                double* first = values.data() + static_cast<std::size_t>(i) * line;
                for (int j = 0; j < side_ + width; ++j)
                    sums[static_cast<std::size_t>(j) + 1] =
                        sums[static_cast<std::size_t>(j)] + first[static_cast<std::size_t>(j % side_) * step];
                for (int j = 0; j < side_; ++j)
                    first[static_cast<std::size_t>(j) * step] =
                        (sums[static_cast<std::size_t>(j + width)] - sums[static_cast<std::size_t>(j)]) /
                        width;
            }
        };
        along(static_cast<std::size_t>(side_), 1);
        along(1, static_cast<std::size_t>(side_));
    }

    int side_;
    bool wraps_ = false;
    std::vector<double> values_;
};

/// How the thing moves; times in pictures, lengths in pixels.
struct Motion {
    Point at{120, 90}, velocity{}, acceleration{};
    double turn = 0;    ///< radians a picture
    double growth = 0;  ///< part of its size, each picture
    /// Where the place of the thing lies that has these coordinates about its middle.
    [[nodiscard]] Point place(const Point& own, double time) const {
        const double angle = turn * time, size = std::exp(growth * time);
        return {centre(0, time) + size * (std::cos(angle) * own[0] - std::sin(angle) * own[1]),
                centre(1, time) + size * (std::sin(angle) * own[0] + std::cos(angle) * own[1])};
    }
    [[nodiscard]] double centre(std::size_t axis, double time) const {
        return at[axis] + velocity[axis] * time + acceleration[axis] * time * time / 2;
    }
};

struct Take {
    int width = 240, height = 180;
    double noise = 2;        ///< standard deviation, code values
    double exposure = 0;     ///< part of a picture's time
    double flicker = 0;      ///< gain up to so much either way, and a fifth of it in the level
    double limb = 0;         ///< the thing is so wide (pixels, along its own y); 0: it fills the picture
    int covered_from = -1;   ///< from this picture on something else is before the point, -1: never
    double cover_speed = 0;  ///< 0: there at once; else it slides in at so many pixels a picture and its edge
                             ///< reaches the thing's middle at 'covered_from'
    std::uint32_t seed = 1;
};

class Scene {
  public:
    Scene(Pattern thing, Pattern wall, Pattern cover, Motion motion, Take take)
        : thing_(std::move(thing)),
          wall_(std::move(wall)),
          cover_(std::move(cover)),
          motion_(motion),
          take_(take) {}

    [[nodiscard]] Point truth(const Point& own, int picture) const { return motion_.place(own, picture); }

    [[nodiscard]] follow::GreyPicture picture(int number) const {
        Chance chance(take_.seed * 7919U + static_cast<std::uint32_t>(number + 500));
        const double gain = 1 + take_.flicker * std::sin(number * 0.9 + take_.seed);
        const double lift = 50 * take_.flicker * std::cos(number * 0.7 + take_.seed);
        const std::vector<Instant> shown = instants(number);
        follow::GreyPicture grey{take_.width, take_.height, {}, take_.width, take_.height};
        grey.pixels.reserve(static_cast<std::size_t>(take_.width) * static_cast<std::size_t>(take_.height));
        for (int y = 0; y < take_.height; ++y)
            for (int x = 0; x < take_.width; ++x) {
                const double value = gain * exposed(x, y, shown) + lift + take_.noise * chance.normal();
                grey.pixels.push_back(static_cast<std::uint8_t>(std::clamp(value, 0.0, 255.0) + 0.5));
            }
        return grey;
    }
    [[nodiscard]] std::vector<follow::GreyPicture> pictures(int from, int to) const {
        std::vector<follow::GreyPicture> all;
        for (int i = from; i <= to; ++i)
            all.push_back(picture(i));
        return all;
    }

  private:
    /// The thing as it lies at one instant.
    struct Instant {
        double cosine, sine, x, y, edge;
        bool covered;
    };
    [[nodiscard]] Instant at(double time) const {
        const double angle = motion_.turn * time, size = std::exp(motion_.growth * time);
        const double cover =
            motion_.centre(0, take_.covered_from) + take_.cover_speed * (time - take_.covered_from);
        return {std::cos(angle) / size,
                std::sin(angle) / size,
                motion_.centre(0, time),
                motion_.centre(1, time),
                take_.cover_speed > 0 ? cover : take_.width,
                take_.covered_from >= 0 && (take_.cover_speed > 0 || time > take_.covered_from - 0.5)};
    }
    [[nodiscard]] std::vector<Instant> instants(int number) const {
        const int times = take_.exposure > 0 ? 5 : 1;
        std::vector<Instant> all;
        for (int t = 0; t < times; ++t)
            all.push_back(at(number + take_.exposure * ((t + 0.5) / times - 0.5)));
        return all;
    }
    [[nodiscard]] double exposed(int x, int y, const std::vector<Instant>& instants) const {
        double sum = 0;
        for (const Instant& instant : instants)
            for (const double down : {0.25, 0.75})
                for (const double right : {0.25, 0.75})
                    sum += seen({x + right, y + down}, instant);
        return sum / (4.0 * static_cast<double>(instants.size()));
    }
    [[nodiscard]] double seen(const Point& place, const Instant& at) const {
        const Point middle{place[0] - take_.width / 2.0, place[1] - take_.height / 2.0};
        if (at.covered && place[0] < at.edge) return cover_.at(middle[0], middle[1]);
        const double x = place[0] - at.x, y = place[1] - at.y;
        const double u = at.cosine * x + at.sine * y, v = -at.sine * x + at.cosine * y;
        return take_.limb > 0 && std::abs(v) > take_.limb / 2 ? wall_.at(middle[0], middle[1])
                                                              : thing_.at(u, v);
    }

    Pattern thing_, wall_, cover_;
    Motion motion_;
    Take take_;
};

}  // namespace plumbmark::moving_patch
