// Pictures on the graphics card. UI thread only, with the GL context current.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "base/result.h"
#include "desk/internal/picture_maker.h"
#include "desk/internal/picture_shader.h"
#include "desk/internal/tone_shader.h"
#include "media/picture.h"

namespace plumbmark::desk {

/// Where decoded pictures are brought to the screen's colours. Both ways show the same, to within one code
/// value.
enum class PictureWay {
    automatic,  ///< on the card; where drawing is done in software, by the processor
    card,       ///< by a shader, except for formats that it does not know
    processor,  ///< media::to_rgba, on a thread of its own
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
    explicit Texture(const media::RgbaImage& image);
    ~Texture();
    Texture(Texture&& other) noexcept;
    Texture& operator=(Texture&& other) noexcept;

    /// Takes the pixels and the smaller levels (make_smaller_levels); keeps the GL storage when the size is
    /// the same.
    void upload(const media::RgbaImage& image, const std::vector<std::uint8_t>& smaller);
    /// The texels stand for a picture of this size, until the next reserve() or upload().
    void stands_for(int width, int height);
    /// Has this size from now on; what it shows is not defined until something is drawn into it.
    void reserve(int width, int height);
    /// The smaller levels anew from what was drawn into level 0.
    void make_levels();
    [[nodiscard]] unsigned name() const { return name_; }
    /// Of the picture that is shown; there are as many texels unless something else was said.
    [[nodiscard]] int width() const { return shown_width_; }
    [[nodiscard]] int height() const { return shown_height_; }
    /// How many texels there are across.
    [[nodiscard]] int texels() const { return width_; }

  private:
    unsigned name_ = 0;
    int width_ = 0, height_ = 0;  // in texels
    int shown_width_ = 0, shown_height_ = 0;
};

/// A picture, and what is to be shown in its place.
struct GivenPicture {
    std::shared_ptr<const media::Picture> picture;
    media::RgbaImage image;
};

/// Decoded pictures as textures, the last few kept by identity, so that a picture drawn again is not
/// converted again. What the processor has to convert is made on another thread (PictureMaker): until then
/// there is no texture for it.
class PictureTextures {
  public:
    /// 'wake' is called from another thread when a picture that was asked for is made.
    explicit PictureTextures(std::function<void()> wake = {}) : maker_(std::move(wake)) {}

    /// For the pictures from now on. Automatic before the first call.
    void take_way(PictureWay way) { way_ = way; }
    /// From now on what the processor makes is made this finely, whole before the first call. A picture that
    /// is there at half its size is shown that way until it is made whole, where that is asked for.
    void take_fineness(Fineness fineness) { fineness_ = fineness; }
    /// A new look at what is to be shown begins: what was not asked for again in the last two is given up.
    void next_round() { maker_.next_round(); }

    /// True when get() has an answer at once: the texture, or null for a picture that cannot be converted or
    /// is none. False: it is being made, ask again after 'wake'.
    [[nodiscard]] bool can_show(const std::shared_ptr<const media::Picture>& picture);
    /// The upright picture's texture; null for none, when it cannot be converted, and while it is being made.
    /// Valid until the next few calls.
    const Texture* get(const std::shared_ptr<const media::Picture>& picture);
    /// The absolute difference of two whole pictures, made four times stronger; null when their sizes differ,
    /// and while one of them is being made.
    const Texture* difference(const std::shared_ptr<const media::Picture>& a,
                              const std::shared_ptr<const media::Picture>& b);
    /// These pictures are shown as their images say, and others not at all, from now on.
    void show_only(const std::vector<GivenPicture>& given);
    /// For showing them brighter or with more contrast.
    [[nodiscard]] ToneShader& tones() { return tones_; }
    /// The way that is gone; automatic until the first picture.
    [[nodiscard]] PictureWay way() const { return way_; }

  private:
    struct Kept {
        std::shared_ptr<const media::Picture> picture, other;
        Texture texture;
        bool failed = false;  ///< it cannot be converted: there is no texture
        bool half = false;    ///< made at half its size
        std::uint64_t used = 0;
        [[nodiscard]] const Texture* shown() const { return failed ? nullptr : &texture; }
    };
    Kept& slot();
    Kept* find(const media::Picture* picture, const media::Picture* other);
    Kept* filled(const std::shared_ptr<const media::Picture>& picture);
    Kept* fresh(const std::shared_ptr<const media::Picture>& picture);
    void fill(Kept& kept, std::unique_ptr<MadeImage> made);
    bool draw_on_card(const media::Picture& picture, Kept& kept);
    void choose_way();
    PictureWay way_ = PictureWay::automatic;
    Fineness fineness_ = Fineness::whole;
    std::vector<Kept> kept_;
    bool given_only_ = false;
    std::uint64_t clock_ = 0;
    PictureShader shader_;
    ToneShader tones_;
    PictureMaker maker_;
};

}  // namespace plumbmark::desk
