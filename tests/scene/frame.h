// One frame of a clip: what moves, blurred over the exposure, put on the stage with its shadow, then seen by
// the sensor.
#pragma once

#include <memory>

#include "runs.h"
#include "stage.h"

namespace plumbmark::scene {

/// A picture as the encoder takes it: luma, then two colour planes of half size (BT.709, 8 bit, studio
/// range).
struct Picture {
    int width = 0, height = 0;
    std::vector<std::uint8_t> y, u, v;
};

/// A solid that moves, with what it takes to shade it.
struct MovingSolid {
    Shape shape;
    Cloth cloth = Cloth::skin;
    bool athlete = true;  ///< casts shadows
    Vec3 albedo;          ///< used for what is not the athlete
    Vec3 glow;
};

/// Everything that moves, at one moment (seconds on the run's clock).
[[nodiscard]] std::vector<MovingSolid> moving_at(const Run& run, double t);

/// Renders frames of one view. One instance per thread; the stage is shared and only read.
class FrameRenderer {
  public:
    FrameRenderer(const Run& run, const View& view, const Stage& stage);
    ~FrameRenderer();
    FrameRenderer(const FrameRenderer&) = delete;
    FrameRenderer& operator=(const FrameRenderer&) = delete;

    /// The frame whose exposure ends at this moment of the run's clock. 'number' feeds the sensor's noise.
    [[nodiscard]] Picture render(base::Time at, std::uint32_t number);

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

/// The light of a whole picture (three floats per pixel) as the sensor gives it, as displayed (not turned).
[[nodiscard]] Picture developed(const std::vector<float>& light, int width, int height, double exposure,
                                double noise, std::uint64_t key);

/// The sensor's picture of an upright phone: turned by a quarter clockwise it is the picture given.
[[nodiscard]] Picture turned_for_sensor(const Picture& displayed);

}  // namespace plumbmark::scene
