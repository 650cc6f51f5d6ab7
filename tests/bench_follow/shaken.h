// Pictures from a camera held by hand, with the truth of where everything lies in them. Nothing here is
// shared with what follows the scene: the sampling, the motion and the noise are written out.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "follow/follower.h"

namespace plumbmark::shaken {

/// Brightness, row by row.
struct Luma {
    int width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
};

/// A hall: walls, boards, posts and boxes of many sizes, with grain on all of them.
[[nodiscard]] Luma painted_hall(std::uint32_t seed, int width, int height);

/// Slow sway and quick tremor of hands: shift, turn, zoom and a little perspective, each a sum of three sines
/// whose phases come from the seed (0.2 to 8 Hz; tremor of hands lies at 4 to 12 Hz: common knowledge, after
/// P. Stiles, J. Appl. Physiol. 1976). 'sway' scales all of it; 1: shifts of up to 5 % of the picture, turns
/// of 3 degrees, zooms of 5 %.
class Hands {
  public:
    Hands(std::uint32_t seed, double sway, int width, int height, int source_width, int source_height);
    /// Picture at that time -> source.
    [[nodiscard]] follow::Mapping at(double seconds) const;

  private:
    [[nodiscard]] double wave(int which, double seconds) const;
    std::vector<double> phases_;
    double sway_;
    int width_, height_, source_width_, source_height_;
};

struct Light {
    double exposure = 0;  ///< seconds during which the camera moves on
    double noise = 2;     ///< standard deviation, code values
    double gain = 1, lift = 0;
    double bodies = 0;  ///< share of the picture that people walking through hide, about
    int defocus = 0;    ///< side of the box that everything is smeared over, pixels
    std::uint32_t seed = 1;
};

[[nodiscard]] Luma filmed(const Luma& source, const Hands& hands, double seconds, const Light& light,
                          int width, int height);
/// A hand before the lens: dark, with no more than a soft shade and noise.
[[nodiscard]] Luma covered(std::uint32_t seed, int width, int height);

/// How far the fit's mapping of these points lies from the truth, the largest; pixels.
[[nodiscard]] double furthest(const follow::Mapping& fitted, const follow::Mapping& truth,
                              const std::vector<follow::Point>& points);
/// First a, then b.
[[nodiscard]] follow::Mapping after(const follow::Mapping& a, const follow::Mapping& b);

[[nodiscard]] follow::GreyPicture grey(const Luma& luma);

/// What happened over a series of pictures.
struct Tally {
    std::vector<double> errors;  ///< largest per shape where it fits, pixels of a picture 1920 long
    std::vector<double> milliseconds;
    int fitting = 0, lost = 0;         ///< shapes in good pictures
    int wrong = 0;                     ///< 'fits', but more than five pixels off
    int covered = 0;                   ///< 'fits', and the truth is within the stated error
    int bad = 0, bad_called_good = 0;  ///< shapes in pictures that show nothing of the scene
    int unmoved = 0;                   ///< pictures in which nothing was moved at all
    [[nodiscard]] double percentile(double share) const;
};

struct Series {
    std::uint32_t seed = 1;
    int frames = 60;
    double sway = 1;
    double bodies = 0.25;
    bool bad_frames = true;  ///< every eighth is covered, of another scene or smeared beyond use
};

/// A rendered hall at 1920 x 1080.
void run_rendered(const Series& series, Tally& tally);
/// Crops out of real pictures, one frame after another.
void run_crops(const std::vector<Luma>& frames, const Series& series, Tally& tally);
/// The pictures as they are, the first being the still.
void run_as_filmed(const std::vector<Luma>& frames, Tally& tally);
/// The luma of a clip's frames; empty where there is no such clip. 'every': one of so many.
[[nodiscard]] std::vector<Luma> frames_of(const std::string& path, int most, int every);

}  // namespace plumbmark::shaken
