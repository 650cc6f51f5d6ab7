// Pictures on the graphics card. UI thread only, with the GL context current.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <vector>

#include "media/picture.h"

namespace plumbmark::desk {

/// One RGBA texture; owns its GL name.
class Texture {
  public:
    Texture() = default;
    explicit Texture(const media::RgbaImage& image) { upload(image); }
    ~Texture();
    Texture(Texture&& other) noexcept;
    Texture& operator=(Texture&& other) noexcept;

    /// Takes the pixels; keeps the GL storage when the size is the same.
    void upload(const media::RgbaImage& image);
    [[nodiscard]] unsigned name() const { return name_; }
    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }

  private:
    unsigned name_ = 0;
    int width_ = 0, height_ = 0;
};

/// Decoded pictures as textures, the last few kept by identity, so that a picture drawn again is not
/// converted again.
class PictureTextures {
  public:
    /// The upright picture's texture; null for none or when it cannot be converted. Valid until the next few
    /// calls.
    const Texture* get(const std::shared_ptr<const media::Picture>& picture);
    /// The absolute difference of two pictures, made four times stronger; null when their sizes differ.
    const Texture* difference(const std::shared_ptr<const media::Picture>& a,
                              const std::shared_ptr<const media::Picture>& b);

  private:
    struct Kept {
        std::shared_ptr<const media::Picture> picture, other;
        Texture texture;
        std::uint64_t used = 0;
    };
    Kept& slot();
    Kept* find(const media::Picture* picture, const media::Picture* other);
    std::vector<Kept> kept_;
    std::uint64_t clock_ = 0;
};

}  // namespace plumbmark::desk
