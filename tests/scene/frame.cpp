#include "frame.h"

#include <algorithm>

#include "shadow.h"
#include "world.h"

namespace plumbmark::scene {
namespace {

constexpr int kSubFrames = 8;
constexpr int kBlock = 8;

double seconds(base::Time t) {
    return static_cast<double>(t.ns) * 1e-9;
}

struct Rect {
    int x0 = 1 << 20, y0 = 1 << 20, x1 = -1, y1 = -1;  // half open
    [[nodiscard]] bool empty() const { return x0 >= x1 || y0 >= y1; }
};

Rect rect_of(const Camera& camera, const Shape& shape) {
    const Bounds b = bounds_of(shape);
    double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
    for (int i = 0; i < 8; ++i) {
        const auto p = project(
            camera, {i & 1 ? b.low.x : b.high.x, i & 2 ? b.low.y : b.high.y, i & 4 ? b.low.z : b.high.z});
        if (!p) return {};
        x0 = std::min(x0, p->x);
        x1 = std::max(x1, p->x);
        y0 = std::min(y0, p->y);
        y1 = std::max(y1, p->y);
    }
    const auto limit = [](double v, int high) { return static_cast<int>(clamp(v, 0, high)); };
    return {limit(x0 - 1, camera.width), limit(y0 - 1, camera.height), limit(x1 + 2, camera.width),
            limit(y1 + 2, camera.height)};
}

// The colour of the athlete's clothes at a point.
Vec3 cloth_colour(const Outfit& o, const MovingSolid& m, Vec3 p, Vec3 n) {
    const Shape& s = m.shape;
    const bool round = s.kind == Shape::Kind::ellipsoid;
    const Vec3 local =
        round ? Vec3{dot(p - s.a, s.frame[0]), dot(p - s.a, s.frame[1]), dot(p - s.a, s.frame[2])} : Vec3{};
    switch (m.cloth) {
        case Cloth::skin:
            return o.skin;
        case Cloth::sleeve:
            return o.sleeve;
        case Cloth::shorts:
            return round && std::fabs(local.x) < 0.018 ? o.stocking : o.shorts;
        case Cloth::stocking:
            return o.stocking;
        case Cloth::shirt:
            if (!round) return o.sleeve;
            if (std::fabs(local.y) < 0.085 && std::fabs(local.z - 0.02) < 0.07) return {0.62, 0.62, 0.60};
            return std::fabs(local.x) < 0.02 ? o.sleeve : o.shirt;
        case Cloth::shoe: {
            const Vec3 along = unit(s.b - s.a);
            return dot(n, cross(along, {0, 1, 0})) < -0.45 && s.ra == s.rb ? Vec3{0.60, 0.60, 0.58} : o.shoe;
        }
        case Cloth::helmet:
            return std::fabs(local.y) < 0.014 || local.z < -0.055 ? Vec3{0.03, 0.03, 0.03} : o.helmet;
    }
    return o.skin;
}

double shine_of(const MovingSolid& m) {
    if (!m.athlete) return 0.02;
    return m.cloth == Cloth::helmet ? 0.30
           : m.cloth == Cloth::shoe ? 0.08
           : m.cloth == Cloth::skin ? 0.04
                                    : 0.0;
}

}  // namespace

namespace {

// How much of each lamp a point of a moving solid sees. Shadows on the body change little within an exposure,
// so one sub-frame's answer stands for the pixel as long as the same solid covers it.
struct LampSight {
    std::int16_t solid = -1;
    std::array<float, kLamps> seen{};
};

}  // namespace

struct FrameRenderer::Inside {
    const Run& run;
    const View& view;
    const Stage& stage;
    std::size_t width, height;
    std::vector<float> nearest;       // of this sub-frame
    std::vector<std::int16_t> which;  // solid met in this sub-frame, -1: none
    std::vector<float> light;         // of the frame, three per pixel
    std::vector<float> over;          // three per pixel: light of moving things summed over sub-frames
    std::vector<std::uint8_t> covered;
    std::vector<std::uint32_t> touched;
    std::vector<LampSight> sights;  // per pixel: found in one sub-frame, used in the others

    [[nodiscard]] std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * width + static_cast<std::size_t>(x);
    }
    void cast_shadows(double t);
    void shade_block(const Caster& caster, int bx, int by);
    void draw(const std::vector<MovingSolid>& moving, const Caster& caster, std::size_t place, Rect& dirty);
    LampSight sight_of(const MovingSolid& m, const Caster& caster, Vec3 p, Vec3 n) const;
    Vec3 shade(const MovingSolid& m, const LampSight& sight, const Ray& ray, const Hit& hit) const;
};

FrameRenderer::FrameRenderer(const Run& run, const View& view, const Stage& stage)
    : inside_(std::make_unique<Inside>(Inside{run,
                                              view,
                                              stage,
                                              static_cast<std::size_t>(stage.camera.width),
                                              static_cast<std::size_t>(stage.camera.height),
                                              {},
                                              {},
                                              {},
                                              {},
                                              {},
                                              {},
                                              {}})) {
    const std::size_t pixels = inside_->width * inside_->height;
    inside_->nearest.assign(pixels, 1e9F);
    inside_->which.assign(pixels, -1);
    inside_->over.assign(3 * pixels, 0.0F);
    inside_->covered.assign(pixels, 0);
    inside_->sights.resize(pixels);
}

FrameRenderer::~FrameRenderer() = default;

void FrameRenderer::Inside::shade_block(const Caster& caster, int bx, int by) {
    const int x1 = std::min(bx + kBlock, stage.camera.width);
    const int y1 = std::min(by + kBlock, stage.camera.height);
    for (int y = by; y < y1; ++y) {
        for (int x = bx; x < x1; ++x) {
            const Texel& texel = stage.at(x, y);
            const Vec3 at{texel.at[0], texel.at[1], texel.at[2]};
            const Vec3 normal{texel.normal[0], texel.normal[1], texel.normal[2]};
            std::array<double, kLamps> seen{1, 1, 1};
            bool changed = false;
            for (std::size_t l = 0; l < kLamps; ++l) {
                if (texel.lambert[l] <= 0 || texel.seen[l] <= 0 || !caster.may_shade(at, lamps()[l], 0.05))
                    continue;
                seen[l] = caster.lamp_seen(at + normal * 1e-3, lamps()[l], 0);
                changed = changed || seen[l] < 1;
            }
            const double open =
                length(at - caster.middle) < caster.radius + 0.6 ? caster.open(at, normal) : 1.0;
            if (!changed && open >= 1) continue;
            const Vec3 sum = light_of(texel, seen, open);
            for (int c = 0; c < 3; ++c)
                light[3 * index(x, y) + static_cast<std::size_t>(c)] = static_cast<float>(sum[c]);
        }
    }
}

void FrameRenderer::Inside::cast_shadows(double t) {
    const Caster caster(skeleton_of(run.moves.posture(t)));
    const auto near = [&](int x, int y) {
        const Texel& texel =
            stage.at(std::min(x, stage.camera.width - 1), std::min(y, stage.camera.height - 1));
        const Vec3 at{texel.at[0], texel.at[1], texel.at[2]};
        if (length(at - caster.middle) < caster.radius + 0.7) return true;
        return std::any_of(lamps().begin(), lamps().end(),
                           [&](const Lamp& lamp) { return caster.may_shade(at, lamp, 0.25); });
    };
    for (int by = 0; by < stage.camera.height; by += kBlock)
        for (int bx = 0; bx < stage.camera.width; bx += kBlock)
            if (near(bx, by) || near(bx + kBlock - 1, by) || near(bx, by + kBlock - 1) ||
                near(bx + kBlock - 1, by + kBlock - 1) || near(bx + kBlock / 2, by + kBlock / 2))
                shade_block(caster, bx, by);
}

LampSight FrameRenderer::Inside::sight_of(const MovingSolid& m, const Caster& caster, Vec3 p, Vec3 n) const {
    LampSight out;
    const Vec3 start = p + n * 2e-3;
    for (std::size_t l = 0; l < kLamps; ++l) {
        const Lamp& lamp = lamps()[l];
        if (!m.athlete) {
            out.seen[l] = 1;
        } else if (dot(n, lamp.at - p) > -0.05 && !world().blocked(start, lamp.at)) {
            out.seen[l] = static_cast<float>(caster.lamp_seen(start, lamp, 0.022));
        }
    }
    return out;
}

Vec3 FrameRenderer::Inside::shade(const MovingSolid& m, const LampSight& sight, const Ray& ray,
                                  const Hit& hit) const {
    const Vec3 p = ray.from + ray.along * hit.distance;
    const Vec3 n = hit.normal;
    const Vec3 albedo = m.athlete ? cloth_colour(run.outfit, m, p, n) : m.albedo;
    // Faces towards the ground get a little less of the room's light.
    Vec3 sum = ambient_light(n) * (0.72 + 0.18 * n.z);
    double shine = 0;
    for (std::size_t l = 0; l < kLamps; ++l) {
        const Lamp& lamp = lamps()[l];
        const Vec3 line = lamp.at - p;
        const double d2 = dot(line, line);
        const Vec3 way = line / std::sqrt(d2);
        const double facing = dot(n, way);
        const double seen = sight.seen[l];
        if (facing <= 0 || seen <= 0) continue;
        sum += lamp.colour * (facing / d2 * seen);
        double gloss = std::max(0.0, dot(n, unit(way - ray.along)));
        for (int i = 0; i < 5; ++i)
            gloss = gloss * gloss;
        shine += gloss * seen * lamp.colour.y / d2;
    }
    return albedo * sum + Vec3{1, 1, 1} * (shine * shine_of(m)) + m.glow;
}

void FrameRenderer::Inside::draw(const std::vector<MovingSolid>& moving, const Caster& caster,
                                 std::size_t place, Rect& dirty) {
    const double jx = kSamplePlaces[place][0];
    const double jy = kSamplePlaces[place][1];
    const auto [right, down, forward] = stage.camera.axes();
    const auto ray_at = [&, r = right, d = down, f = forward](int x, int y) {
        return Ray{stage.camera.at, unit(f + r * ((x + jx - stage.camera.width * 0.5) / stage.camera.focal) +
                                         d * ((y + jy - stage.camera.height * 0.5) / stage.camera.focal))};
    };
    touched.clear();
    for (std::size_t i = 0; i < moving.size(); ++i) {
        const Rect rect = rect_of(stage.camera, moving[i].shape);
        for (int y = rect.y0; y < rect.y1; ++y) {
            for (int x = rect.x0; x < rect.x1; ++x) {
                const auto hit = intersect(moving[i].shape, ray_at(x, y), 1e-3);
                if (!hit) continue;
                const std::size_t at = index(x, y);
                const auto distance = static_cast<float>(hit->distance);
                if (distance >= nearest[at] || distance >= stage.texels[at].depth[place]) continue;
                if (which[at] < 0) touched.push_back(static_cast<std::uint32_t>(at));
                nearest[at] = distance;
                which[at] = static_cast<std::int16_t>(i);
            }
        }
        if (!rect.empty())
            dirty = {std::min(dirty.x0, rect.x0), std::min(dirty.y0, rect.y0), std::max(dirty.x1, rect.x1),
                     std::max(dirty.y1, rect.y1)};
    }
    for (const std::uint32_t at : touched) {
        const MovingSolid& m = moving[static_cast<std::size_t>(which[at])];
        const Ray ray = ray_at(static_cast<int>(at % width), static_cast<int>(at / width));
        const auto hit = intersect(m.shape, ray, 1e-3);
        if (hit) {
            LampSight& sight = sights[at];
            if (covered[at] == 0 || sight.solid != which[at]) {
                sight = sight_of(m, caster, ray.from + ray.along * hit->distance, hit->normal);
                sight.solid = which[at];
            }
            const Vec3 colour = shade(m, sight, ray, *hit);
            for (int c = 0; c < 3; ++c)
                over[3 * at + static_cast<std::size_t>(c)] += static_cast<float>(colour[c]);
            ++covered[at];
        }
        nearest[at] = 1e9F;
        which[at] = -1;
    }
}

Picture FrameRenderer::render(base::Time at, std::uint32_t number) {
    Inside& in = *inside_;
    in.light = in.stage.light;
    const double end = seconds(at);
    const double open = static_cast<double>(in.view.shutter.ns) * 1e-9;
    in.cast_shadows(end - open / 2);
    Rect dirty;
    for (int s = 0; s < kSubFrames; ++s) {
        const double t = end - open * (kSubFrames - 1 - s) / (kSubFrames - 1);
        const Caster caster(skeleton_of(in.run.moves.posture(t)));
        in.draw(moving_at(in.run, t), caster, static_cast<std::size_t>(s) % kSamplePlaces.size(), dirty);
    }
    for (int y = dirty.y0; y < dirty.y1; ++y) {
        for (int x = dirty.x0; x < dirty.x1; ++x) {
            const std::size_t i = in.index(x, y);
            if (in.covered[i] == 0) continue;
            const float rest = static_cast<float>(kSubFrames - in.covered[i]) / kSubFrames;
            for (std::size_t c = 0; c < 3; ++c) {
                in.light[3 * i + c] = in.light[3 * i + c] * rest + in.over[3 * i + c] / kSubFrames;
                in.over[3 * i + c] = 0;
            }
            in.covered[i] = 0;
        }
    }
    Picture out = developed(in.light, in.stage.camera.width, in.stage.camera.height, in.view.exposure,
                            in.view.noise, (std::uint64_t{number} + 1) << 40);
    return in.view.turned ? turned_for_sensor(out) : out;
}

}  // namespace plumbmark::scene
