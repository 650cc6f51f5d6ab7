#include "bench_follow/shaken.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <numbers>

#include "media/frame_reader.h"
#include "media/frame_table.h"

namespace plumbmark::shaken {
namespace {

/// Numerical Recipes' generator.
class Chance {
  public:
    explicit Chance(std::uint32_t seed) : state_(seed * 2654435761U + 12345U) {}
    double next() {
        state_ = state_ * 1664525U + 1013904223U;
        return (state_ >> 8U) / 16777216.0;
    }
    double between(double from, double to) { return from + (to - from) * next(); }
    /// Normal: a sum of twelve.
    double normal() {
        double sum = -6;
        for (int i = 0; i < 12; ++i)
            sum += next();
        return sum;
    }

  private:
    std::uint32_t state_;
};

std::uint8_t level(double value) {
    return static_cast<std::uint8_t>(std::clamp(value, 0.0, 255.0) + 0.5);
}

std::size_t index(const Luma& luma, int x, int y) {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(luma.width) + static_cast<std::size_t>(x);
}

void block(Luma& hall, Chance& chance, double value) {
    const int width = static_cast<int>(chance.between(8, 260)),
              height = static_cast<int>(chance.between(8, 200));
    const int left = static_cast<int>(chance.between(-40, hall.width));
    const int top = static_cast<int>(chance.between(-40, hall.height));
    for (int y = std::max(0, top); y < std::min(hall.height, top + height); ++y)
        for (int x = std::max(0, left); x < std::min(hall.width, left + width); ++x)
            hall.pixels[index(hall, x, y)] = level(value);
}

/// Linear between the four pixels around; the edge goes on beyond the picture.
double sample(const Luma& source, double x, double y) {
    x = std::clamp(x - 0.5, 0.0, source.width - 1.001);
    y = std::clamp(y - 0.5, 0.0, source.height - 1.001);
    const int left = static_cast<int>(x), top = static_cast<int>(y);
    const double u = x - left, v = y - top;
    const std::uint8_t* at = &source.pixels[index(source, left, top)];
    const std::uint8_t* below = at + source.width;
    return (at[0] * (1 - u) + at[1] * u) * (1 - v) + (below[0] * (1 - u) + below[1] * u) * v;
}

std::vector<double> seen_through(const Luma& source, const std::vector<follow::Mapping>& views, int width,
                                 int height) {
    std::vector<double> sum(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (const follow::Mapping& view : views) {
        std::size_t i = 0;
        for (int y = 0; y < height; ++y)
            for (int x = 0; x < width; ++x, ++i) {
                const double px = x + 0.5, py = y + 0.5;
                const double w = view.m[6] * px + view.m[7] * py + view.m[8];
                sum[i] += sample(source, (view.m[0] * px + view.m[1] * py + view.m[2]) / w,
                                 (view.m[3] * px + view.m[4] * py + view.m[5]) / w);
            }
    }
    for (double& value : sum)
        value /= static_cast<double>(views.size());
    return sum;
}

/// Somebody who walks by: trunk, head and swinging legs, in striped clothes that go along.
struct Body {
    double x, y, height, stride;
    [[nodiscard]] std::optional<double> shade(double px, double py) const {
        const double u = (px - x) / height, v = (py - y) / height;
        const bool trunk = std::abs(u) < 0.13 && v > -0.3 && v < 0.15;
        const bool head = std::hypot(u, v + 0.38) < 0.08;
        const bool leg =
            v >= 0.15 && v < 0.5 &&
            (std::abs(u - stride * (v - 0.15)) < 0.06 || std::abs(u + stride * (v - 0.15)) < 0.06);
        if (!trunk && !head && !leg) return std::nullopt;
        return 90 + 60 * std::sin(v * 60) + 40 * std::sin(u * 45 + v * 9);
    }
};

void put_bodies(std::vector<double>& picture, int width, int height, double share, double seconds,
                std::uint32_t seed) {
    if (share <= 0) return;
    Chance chance(seed);
    // A body of the picture's height covers a quarter of the square on its height, about.
    const int count = 4;
    const double size = std::sqrt(share * width * height / (0.22 * count));
    for (int i = 0; i < count; ++i) {
        const double from = chance.between(0, width), speed = chance.between(0.08, 0.3) * width;
        const double way = chance.next() < 0.5 ? -1 : 1;
        const double x = std::fmod(from + way * speed * seconds + 40.0 * width, 1.2 * width) - 0.1 * width;
        const Body body{x, chance.between(0.4, 0.7) * height, size, 0.5 * std::sin(seconds * 7 + i)};
        for (int py = std::max(0, static_cast<int>(body.y - size));
             py < std::min<int>(height, static_cast<int>(body.y + size)); ++py)
            for (int px = std::max(0, static_cast<int>(body.x - size));
                 px < std::min<int>(width, static_cast<int>(body.x + size)); ++px)
                if (const auto shade = body.shade(px, py))
                    picture[static_cast<std::size_t>(py) * static_cast<std::size_t>(width) +
                            static_cast<std::size_t>(px)] = *shade;
    }
}

/// Twice, so that it is soft at its edges.
void smear(std::vector<double>& picture, int width, int height, int side) {
    const auto along = [&](int lines, int length, std::ptrdiff_t line_step, std::ptrdiff_t step) {
        std::vector<double> sums(static_cast<std::size_t>(length) + 1);
        for (int line = 0; line < lines; ++line) {
            double* first = picture.data() + line * line_step;
            for (int i = 0; i < length; ++i)
                sums[static_cast<std::size_t>(i) + 1] = sums[static_cast<std::size_t>(i)] + first[i * step];
            for (int i = 0; i < length; ++i) {
                const int from = std::max(0, i - side / 2), to = std::min(length, i + side / 2 + 1);
                first[i * step] =
                    (sums[static_cast<std::size_t>(to)] - sums[static_cast<std::size_t>(from)]) / (to - from);
            }
        }
    };
    for (int twice = 0; twice < 2; ++twice) {
        along(height, width, width, 1);
        along(width, height, 1, width);
    }
}

Luma developed(const std::vector<double>& picture, int width, int height, const Light& light) {
    Luma luma{width, height, std::vector<std::uint8_t>(picture.size())};
    Chance chance(light.seed);
    for (std::size_t i = 0; i < picture.size(); ++i)
        luma.pixels[i] = level(picture[i] * light.gain + light.lift + light.noise * chance.normal());
    return luma;
}

using Shapes = std::vector<std::vector<follow::Point>>;

/// Platforms, a rail and a plane's line, as a course draws them.
Shapes drawings(int width, int height) {
    const double w = width, h = height;
    return {{{0.20 * w, 0.55 * h}, {0.36 * w, 0.54 * h}, {0.37 * w, 0.62 * h}, {0.19 * w, 0.63 * h}},
            {{0.55 * w, 0.30 * h}, {0.72 * w, 0.31 * h}, {0.71 * w, 0.35 * h}, {0.55 * w, 0.34 * h}},
            {{0.80 * w, 0.10 * h}, {0.81 * w, 0.85 * h}}};
}

class Judge {
  public:
    Judge(const Luma& still, Tally& tally)
        : shapes_(drawings(still.width, still.height)),
          follower_(follow::Follower::make(grey(still), shapes_).value()),
          scale_(1920.0 / std::max(still.width, still.height)),
          tally_(tally) {}

    void good(const Luma& picture, const follow::Mapping& truth) {
        const follow::Fit fit = fitted(picture);
        tally_.unmoved += fit.still ? 1 : 0;
        for (std::size_t i = 0; i < shapes_.size(); ++i) {
            if (fit.shapes[i].verdict == follow::Verdict::lost) {
                ++tally_.lost;
                continue;
            }
            const double off = furthest(fit.shapes[i].mapping, truth, shapes_[i]) * scale_;
            ++tally_.fitting;
            tally_.errors.push_back(off);
            tally_.wrong += off > 5 ? 1 : 0;
            tally_.covered += off <= fit.shapes[i].error * scale_ ? 1 : 0;
        }
    }
    void bad(const Luma& picture) {
        const follow::Fit fit = fitted(picture);
        for (const follow::ShapeFit& shape : fit.shapes) {
            ++tally_.bad;
            tally_.bad_called_good += shape.verdict == follow::Verdict::fits ? 1 : 0;
        }
    }

  private:
    follow::Fit fitted(const Luma& picture) {
        const auto began = std::chrono::steady_clock::now();
        follow::Fit fit = follower_.fit(grey(picture), near_);
        const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - began;
        tally_.milliseconds.push_back(took.count());
        near_ = fit.whole;
        return fit;
    }

    Shapes shapes_;
    follow::Follower follower_;
    double scale_;
    Tally& tally_;
    std::optional<follow::Mapping> near_ = follow::Mapping{};
};

constexpr double kRate = 30;

Light light_at(const Series& series, int frame) {
    Light light;
    light.exposure = frame % 3 == 0 ? 1 / 60.0 : 1 / 250.0;
    light.noise = 3;
    light.gain = 1 + 0.3 * std::sin(frame * 0.21);
    light.lift = 12 * std::sin(frame * 0.13);
    light.bodies = series.bodies;
    light.seed = series.seed * 1000U + static_cast<std::uint32_t>(frame);
    return light;
}

/// Nothing of the scene can be told in it.
Luma useless(const Luma& other, const Luma& source, const Hands& hands, const Series& series, int frame,
             int width, int height) {
    Light light = light_at(series, frame);
    const int kind = frame / 8 % 3;
    if (kind == 0) return covered(light.seed, width, height);
    if (kind == 1) return filmed(other, hands, frame / kRate, light, width, height);
    light.defocus = std::max(width, height) / 14;
    return filmed(source, hands, frame / kRate, light, width, height);
}

}  // namespace

Luma painted_hall(std::uint32_t seed, int width, int height) {
    Chance chance(seed);
    Luma hall{
        width, height,
        std::vector<std::uint8_t>(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 120)};
    for (int i = 0; i < 320; ++i)
        block(hall, chance, chance.between(40, 210));
    for (std::uint8_t& pixel : hall.pixels)
        pixel = level(pixel + 5 * chance.normal());
    return hall;
}

Hands::Hands(std::uint32_t seed, double sway, int width, int height, int source_width, int source_height)
    : sway_(sway),
      width_(width),
      height_(height),
      source_width_(source_width),
      source_height_(source_height) {
    Chance chance(seed);
    for (int i = 0; i < 18; ++i)
        phases_.push_back(chance.between(0, 2 * std::numbers::pi));
}

double Hands::wave(int which, double seconds) const {
    const auto sine = [&](int part, double hertz) {
        return std::sin(2 * std::numbers::pi * hertz * seconds +
                        phases_[static_cast<std::size_t>(which * 3 + part)]);
    };
    const double drift = 1 + 0.13 * which;
    return sway_ * (0.72 * sine(0, 0.23 * drift) + 0.2 * sine(1, 1.1 * drift) + 0.08 * sine(2, 5.3 * drift));
}

follow::Mapping Hands::at(double seconds) const {
    const double longest = std::max(width_, height_);
    const double turn = wave(0, seconds) * 3 * std::numbers::pi / 180, zoom = 1 + 0.05 * wave(1, seconds);
    const double c = zoom * std::cos(turn), s = zoom * std::sin(turn);
    // About the picture's middle, then to the source's.
    const follow::Mapping centre{{1, 0, -width_ / 2.0, 0, 1, -height_ / 2.0, 0, 0, 1}};
    const follow::Mapping view{{c, -s, source_width_ / 2.0 + 0.05 * longest * wave(2, seconds), s, c,
                                source_height_ / 2.0 + 0.05 * longest * wave(3, seconds), 0, 0, 1}};
    const follow::Mapping tilt{
        {1, 0, 0, 0, 1, 0, 0.02 * wave(4, seconds) / longest, 0.02 * wave(5, seconds) / longest, 1}};
    return after(after(centre, tilt), view);
}

Luma filmed(const Luma& source, const Hands& hands, double seconds, const Light& light, int width,
            int height) {
    std::vector<follow::Mapping> views;
    const int steps = light.exposure > 0.01 ? 5 : 2;
    for (int i = 0; i < steps; ++i)  // the picture's truth is the middle of its exposure
        views.push_back(hands.at(seconds + light.exposure * ((i + 0.5) / steps - 0.5)));
    std::vector<double> picture = seen_through(source, views, width, height);
    put_bodies(picture, width, height, light.bodies, seconds, light.seed / 1000U);
    if (light.defocus > 1) smear(picture, width, height, light.defocus);
    return developed(picture, width, height, light);
}

Luma covered(std::uint32_t seed, int width, int height) {
    std::vector<double> picture;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x)
            picture.push_back(28 + 14.0 * x / width + 9.0 * y / height);
    Light light;
    light.seed = seed;
    light.noise = 3;
    return developed(picture, width, height, light);
}

double furthest(const follow::Mapping& fitted, const follow::Mapping& truth,
                const std::vector<follow::Point>& points) {
    double most = 0;
    for (const follow::Point& point : points) {
        const auto a = fitted(point), b = truth(point);
        if (!a || !b) return 1e9;
        most = std::max(most, std::hypot((*a)[0] - (*b)[0], (*a)[1] - (*b)[1]));
    }
    return most;
}

follow::Mapping after(const follow::Mapping& a, const follow::Mapping& b) {
    follow::Mapping both;
    for (std::size_t row = 0; row < 3; ++row)
        for (std::size_t column = 0; column < 3; ++column) {
            double sum = 0;
            for (std::size_t k = 0; k < 3; ++k)
                sum += b.m[3 * row + k] * a.m[3 * k + column];
            both.m[3 * row + column] = sum;
        }
    for (double& value : both.m)
        value /= both.m[8] == 0 ? 1 : std::array<double, 9>(both.m)[8];
    return both;
}

follow::GreyPicture grey(const Luma& luma) {
    return follow::grey_picture(luma.pixels.data(), luma.width, luma.height, luma.width);
}

double Tally::percentile(double share) const {
    if (errors.empty()) return 0;
    std::vector<double> sorted = errors;
    std::sort(sorted.begin(), sorted.end());
    return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

void run_rendered(const Series& series, Tally& tally) {
    const int width = 1920, height = 1080;
    const Luma hall = painted_hall(series.seed, 2400, 1500),
               other = painted_hall(series.seed + 77, 2400, 1500);
    const Hands hands(series.seed, series.sway, width, height, hall.width, hall.height);
    Light first = light_at(series, 0);
    first.bodies /= 2;
    Judge judge(filmed(hall, hands, 0, first, width, height), tally);
    const follow::Mapping still = hands.at(0);
    for (int frame = 1; frame <= series.frames; ++frame) {
        if (series.bad_frames && frame % 8 == 7) {
            judge.bad(useless(other, hall, hands, series, frame, width, height));
            continue;
        }
        const Luma picture = filmed(hall, hands, frame / kRate, light_at(series, frame), width, height);
        judge.good(picture, after(still, *hands.at(frame / kRate).inverse()));
    }
}

void run_crops(const std::vector<Luma>& frames, const Series& series, Tally& tally) {
    const Luma& first = frames.front();
    const int width = first.width * 3 / 4, height = first.height * 3 / 4;
    const Luma other = painted_hall(series.seed + 77, first.width, first.height);
    const Hands hands(series.seed, series.sway, width, height, first.width, first.height);
    Series real = series;
    real.bodies = 0;  // there are people in the pictures
    Judge judge(filmed(first, hands, 0, light_at(real, 0), width, height), tally);
    const follow::Mapping still = hands.at(0);
    for (int frame = 1; frame < static_cast<int>(frames.size()) && frame <= series.frames; ++frame) {
        const Luma& source = frames[static_cast<std::size_t>(frame)];
        if (series.bad_frames && frame % 8 == 7) {
            judge.bad(useless(other, source, hands, real, frame, width, height));
            continue;
        }
        const Luma picture = filmed(source, hands, frame / kRate, light_at(real, frame), width, height);
        judge.good(picture, after(still, *hands.at(frame / kRate).inverse()));
    }
}

void run_as_filmed(const std::vector<Luma>& frames, Tally& tally) {
    Judge judge(frames.front(), tally);
    for (const Luma& frame : frames)
        judge.good(frame, follow::Mapping{});
}

std::vector<Luma> frames_of(const std::string& path, int most, int every) {
    std::vector<Luma> frames;
    if (!std::filesystem::exists(path)) return frames;
    const auto table = media::scan_clip(path).value();
    auto reader = media::FrameReader::open(path, std::make_shared<media::FrameTable>(table)).value();
    for (std::int64_t n = 0; n < table.size() && static_cast<int>(frames.size()) < most; n += every) {
        const auto picture = reader.read(n).value();
        Luma luma{picture->width(), picture->height(), {}};
        for (int y = 0; y < luma.height; ++y) {
            const std::uint8_t* row = picture->plane(0) + y * picture->stride(0);
            luma.pixels.insert(luma.pixels.end(), row, row + luma.width);
        }
        frames.push_back(std::move(luma));
    }
    return frames;
}

}  // namespace plumbmark::shaken
