#include "stage.h"

#include <algorithm>
#include <atomic>
#include <thread>

#include "paint.h"
#include "world.h"

namespace plumbmark::scene {

void in_parallel(int threads, int count, const std::function<void(int)>& work) {
    std::atomic<int> next{0};
    const auto run = [&] {
        for (int i = next++; i < count; i = next++)
            work(i);
    };
    std::vector<std::thread> others;
    for (int i = 1; i < threads; ++i)
        others.emplace_back(run);
    run();
    for (std::thread& other : others)
        other.join();
}

Vec3 ambient_light(Vec3 normal) {
    const Vec3 above{0.26, 0.30, 0.36};
    const Vec3 below{0.13, 0.115, 0.10};
    // Daylight from the windows in the far wall comes mostly towards the cameras' backs.
    const double from_wall = clamp(normal.y, 0, 1);
    return mix(below, above, 0.5 + 0.5 * normal.z) + Vec3{0.08, 0.10, 0.12} * from_wall;
}

namespace {

std::array<float, 3> packed(Vec3 v) {
    return {static_cast<float>(v.x), static_cast<float>(v.y), static_cast<float>(v.z)};
}
Vec3 unpacked(const std::array<float, 3>& v) {
    return {v[0], v[1], v[2]};
}
void grow(std::array<float, 3>& sum, Vec3 v) {
    sum = packed(unpacked(sum) + v);
}

// A direction in the half space of n, more likely near n (cosine law).
Vec3 scattered(Vec3 n, std::uint64_t key) {
    const double turn = 2 * kPi * hash_unit(key);
    const double z = 2 * hash_unit(key ^ 0x5851F42D4C957F2DU) - 1;
    const double r = std::sqrt(std::max(0.0, 1 - z * z));
    return unit(n + Vec3{r * cosine(turn), r * sine(turn), z} * 0.999);
}

void light_sample(Texel& texel, Vec3 at, Vec3 face, const Paint& paint, std::uint64_t key) {
    const Vec3 start = at + face * 2e-3;
    for (std::size_t l = 0; l < kLamps; ++l) {
        const Lamp& lamp = lamps()[l];
        const double turn = 2 * kPi * hash_unit(key + 17 * l + 1);
        const double r = lamp.radius * std::sqrt(hash_unit(key + 31 * l + 2));
        const Vec3 to = lamp.at + Vec3{r * cosine(turn), r * sine(turn), 0};
        const Vec3 way = lamp.at - at;
        const double d2 = dot(way, way);
        const double facing = dot(paint.normal, way) / std::sqrt(d2);
        texel.lambert[l] += static_cast<float>(std::max(0.0, facing) / d2 / 4);
        if (dot(face, way) > 0 && !world().blocked(start, to)) texel.seen[l] += 0.25F;
    }
    constexpr double kNear = 0.9;
    for (int i = 0; i < 2; ++i) {
        const Vec3 way = scattered(face, key * 7 + 101 * static_cast<std::uint64_t>(i));
        const auto hit = world().trace({start, way}, 1e-4, kNear);
        const double open = hit ? hit->hit.distance / kNear : 1.0;
        texel.open += static_cast<float>(open / 8);
    }
}

void sample_pixel(Stage& stage, int x, int y) {
    const auto index = static_cast<std::size_t>(y) * static_cast<std::size_t>(stage.camera.width) +
                       static_cast<std::size_t>(x);
    Texel& texel = stage.texels[index];
    for (std::size_t s = 0; s < 4; ++s) {
        const Ray ray = ray_through(stage.camera, x + kSamplePlaces[s][0], y + kSamplePlaces[s][1]);
        const auto met = world().trace(ray);
        texel.depth[s] = met ? static_cast<float>(met->hit.distance) : 1e6F;
        if (!met) continue;
        const Vec3 at = ray.from + ray.along * met->hit.distance;
        const Paint paint = paint_of(solids()[met->solid], at, met->hit.normal);
        grow(texel.albedo, paint.albedo * 0.25);
        grow(texel.ambient, ambient_light(paint.normal) * 0.25);
        grow(texel.glow, paint.glow * 0.25);
        if (s == 0) {
            texel.at = packed(at);
            texel.normal = packed(met->hit.normal);
        }
        light_sample(texel, at, met->hit.normal, paint, (index * 4 + s) * 1000003);
    }
}

// Averages what was sampled with chance (shadows, openness) over neighbours on the same face.
struct Soft {
    std::array<float, kLamps> seen{};
    float open = 0;
};
Soft softened(const Stage& stage, int x, int y) {
    const Texel& centre = stage.at(x, y);
    const Vec3 at = unpacked(centre.at);
    const Vec3 normal = unpacked(centre.normal);
    Soft sum;
    float weight = 0;
    for (int dy = -3; dy <= 3; ++dy) {
        for (int dx = -3; dx <= 3; ++dx) {
            const int nx = x + dx;
            const int ny = y + dy;
            if (nx < 0 || ny < 0 || nx >= stage.camera.width || ny >= stage.camera.height) continue;
            const Texel& other = stage.at(nx, ny);
            if (dot(unpacked(other.normal), normal) < 0.9) continue;
            if (std::fabs(dot(unpacked(other.at) - at, normal)) > 0.02) continue;
            const float w = 1.0F / static_cast<float>(2 + dx * dx + dy * dy);
            for (std::size_t l = 0; l < kLamps; ++l)
                sum.seen[l] += w * other.seen[l];
            sum.open += w * other.open;
            weight += w;
        }
    }
    if (weight <= 0) return {centre.seen, centre.open};
    for (std::size_t l = 0; l < kLamps; ++l)
        sum.seen[l] /= weight;
    sum.open /= weight;
    return sum;
}

}  // namespace

Vec3 light_of(const Texel& texel, const std::array<double, kLamps>& seen, double open) {
    Vec3 sum = unpacked(texel.ambient) * (static_cast<double>(texel.open) * open);
    for (std::size_t l = 0; l < kLamps; ++l)
        sum += lamps()[l].colour *
               (static_cast<double>(texel.lambert[l]) * static_cast<double>(texel.seen[l]) * seen[l]);
    return unpacked(texel.albedo) * sum + unpacked(texel.glow);
}

Stage render_stage(const Camera& camera, int threads) {
    Stage stage;
    stage.camera = camera;
    const auto pixels = static_cast<std::size_t>(camera.width) * static_cast<std::size_t>(camera.height);
    stage.texels.resize(pixels);
    in_parallel(threads, camera.height, [&](int y) {
        for (int x = 0; x < camera.width; ++x)
            sample_pixel(stage, x, y);
    });
    std::vector<Soft> soft(pixels);
    const auto width = static_cast<std::size_t>(camera.width);
    in_parallel(threads, camera.height, [&](int y) {
        for (int x = 0; x < camera.width; ++x)
            soft[static_cast<std::size_t>(y) * width + static_cast<std::size_t>(x)] = softened(stage, x, y);
    });
    stage.light.resize(3 * pixels);
    for (std::size_t i = 0; i < pixels; ++i) {
        stage.texels[i].seen = soft[i].seen;
        stage.texels[i].open = soft[i].open;
        const Vec3 light = light_of(stage.texels[i], {1, 1, 1}, 1);
        for (int c = 0; c < 3; ++c)
            stage.light[3 * i + static_cast<std::size_t>(c)] = static_cast<float>(light[c]);
    }
    return stage;
}

}  // namespace plumbmark::scene
