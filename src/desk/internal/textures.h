// Pictures on the graphics card. UI thread only, with the GL context current.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "base/result.h"
#include "desk/internal/picture_shader.h"
#include "media/picture.h"

namespace plumbmark::desk {

/// Where decoded pictures are brought to the screen's colours. Both ways show the same, to within one code
/// value.
enum class PictureWay {
    automatic,  ///< on the card; where drawing is done in software, whichever is measured to be faster
    card,       ///< by a shader, except for formats that it does not know
    processor,  ///< media::to_rgba
};

/// 'card', 'processor' or 'automatic' (nothing: automatic). Errors: bad_input for another word; 'where' names
/// it.
[[nodiscard]] base::Result<PictureWay> picture_way(const char* word, const char* where);

/// True where the current GL context is drawn by the processor, as its own name says.
[[nodiscard]] bool draws_in_software();

/// One RGBA texture with smaller levels for drawing it smaller; owns its GL name.
class Texture {
  public:
    Texture() = default;
    explicit Texture(const media::RgbaImage& image) { upload(image); }
    ~Texture();
    Texture(Texture&& other) noexcept;
    Texture& operator=(Texture&& other) noexcept;

    /// Takes the pixels; keeps the GL storage when the size is the same.
    void upload(const media::RgbaImage& image);
    /// Has this size from now on; what it shows is not defined until something is drawn into it.
    void reserve(int width, int height);
    /// The smaller levels anew from what was drawn into level 0.
    void make_levels();
    /// How often it is halved for drawing it smaller.
    static constexpr int smaller_levels = 4;
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
    /// For the pictures from now on. Automatic before the first call.
    void take_way(PictureWay way) { way_ = way; }

    /// The upright picture's texture; null for none or when it cannot be converted. Valid until the next few
    /// calls.
    const Texture* get(const std::shared_ptr<const media::Picture>& picture);
    /// The absolute difference of two pictures, made four times stronger; null when their sizes differ.
    const Texture* difference(const std::shared_ptr<const media::Picture>& a,
                              const std::shared_ptr<const media::Picture>& b);
    /// The way that is gone; automatic until the first picture.
    [[nodiscard]] PictureWay way() const { return way_; }

  private:
    struct Kept {
        std::shared_ptr<const media::Picture> picture, other;
        Texture texture;
        std::uint64_t used = 0;
    };
    Kept& slot();
    Kept* find(const media::Picture* picture, const media::Picture* other);
    bool fill(const media::Picture& picture, Texture& texture);
    bool fill_by(PictureWay way, const media::Picture& picture, Texture& texture);
    void choose_way(const media::Picture& picture, Texture& texture);
    PictureWay way_ = PictureWay::automatic;
    std::vector<Kept> kept_;
    std::uint64_t clock_ = 0;
    PictureShader shader_;
    media::RgbaImage converted_;  ///< its memory is used again for the next picture
};

}  // namespace plumbmark::desk
