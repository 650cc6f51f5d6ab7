// Pictures brought to the screen's colours on the graphics card. UI thread only, with the GL context current.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "media/colour.h"

namespace plumbmark::desk {

/// Draws a picture's own samples into a texture as upright R'G'B': the same as media::to_rgba, to within one
/// code value of 8 bits. Keeps its programs and the textures for the samples. What is bound when it is called
/// is bound again when it returns.
class PictureShader {
  public:
    PictureShader();
    ~PictureShader();
    PictureShader(const PictureShader&) = delete;
    PictureShader& operator=(const PictureShader&) = delete;

    /// False where the samples are not of a kind that can be uploaded as they lie: media::samples_of gives
    /// nothing, lines run upwards, or they are too many for the card.
    [[nodiscard]] static bool knows(const media::Picture& picture);
    /// Into level 0 of the texture, which has the upright picture's size. False where it does not know the
    /// picture, or the card cannot: then nothing was drawn. The samples have been read when it returns.
    bool draw(const media::Picture& picture, unsigned texture);

    /// The difference of two textures of one size, made four times stronger, into level 0 of a third of that
    /// size.
    bool draw_difference(unsigned first, unsigned second, int width, int height, unsigned texture);

  private:
    struct Program {
        unsigned name = 0;
        bool tried = false;
    };
    struct Plane {
        unsigned name = 0;
        int width = 0, height = 0, bytes = 0, together = 0;
        std::uint64_t used = 0;
    };
    [[nodiscard]] bool ready(Program& program, const char* fragment);
    [[nodiscard]] unsigned upload(const media::SamplePlane& plane);
    [[nodiscard]] const std::array<unsigned, 4>& tables_of(media::Display display);
    void set_samples(const media::Samples& samples, const media::Picture& picture);
    [[nodiscard]] bool paint(int width, int height, unsigned texture);

    Program picture_, difference_;
    std::vector<Plane> planes_;
    std::array<std::array<unsigned, 4>, 2> tables_{};  // HLG's and PQ's
    unsigned corners_ = 0, array_ = 0, framebuffer_ = 0;
    std::uint64_t clock_ = 0;
};

}  // namespace plumbmark::desk
