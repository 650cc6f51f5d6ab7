// The still picture of one camera: everything but the athlete, the hawser, the fan and the signal lamps, kept
// in parts so that a moving body can put its shadow on it.
#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <vector>

#include "camera.h"

namespace plumbmark::scene {

inline constexpr std::size_t kLamps = 3;
/// Where in a pixel the four samples lie; sub-frame samples of moving things use the same places in turn.
inline constexpr std::array<std::array<double, 2>, 4> kSamplePlaces{
    {{0.375, 0.125}, {0.875, 0.375}, {0.125, 0.625}, {0.625, 0.875}}};

/// One pixel of the stage. Light reaching the eye = albedo * (sum of lamps: lambert * seen * lamp colour +
/// ambient * open) + glow.
struct Texel {
    std::array<float, 3> albedo{}, ambient{}, glow{};
    std::array<float, kLamps> lambert{};  ///< cosine over squared distance, shadows left out
    std::array<float, kLamps> seen{};     ///< share of the lamp's disc that is not hidden by still things
    float open = 0;                       ///< share of the surroundings that is not hidden close by
    std::array<float, 3> at{}, normal{};  ///< of the pixel's middle
    std::array<float, 4> depth{};         ///< distance from the camera at the four sample places
};

struct Stage {
    Camera camera;
    std::vector<Texel> texels;  ///< width * height, row by row
    std::vector<float> light;   ///< three per pixel: the picture without anything that moves

    [[nodiscard]] const Texel& at(int x, int y) const {
        return texels[static_cast<std::size_t>(y) * static_cast<std::size_t>(camera.width) +
                      static_cast<std::size_t>(x)];
    }
};

/// Renders the stage with up to 'threads' threads; the result does not depend on their number.
[[nodiscard]] Stage render_stage(const Camera& camera, int threads);

/// Light of the surroundings that falls on a face with this normal.
[[nodiscard]] Vec3 ambient_light(Vec3 normal);

/// The light of a texel with extra shadow: per lamp and for the ambient light, 1 is none.
[[nodiscard]] Vec3 light_of(const Texel& texel, const std::array<double, kLamps>& seen, double open);

/// Calls work(i) for 0 <= i < count, spread over threads. The order in which they run is not defined.
void in_parallel(int threads, int count, const std::function<void(int)>& work);

}  // namespace plumbmark::scene
