#define GL_GLEXT_PROTOTYPES
#include "desk/internal/textures.h"

#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cctype>
#include <string>
#include <string_view>
#include <utility>

#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr std::size_t kMostKept = 8;

// Bound for a while; then what was bound before.
class BoundTexture {
  public:
    explicit BoundTexture(unsigned name) {
        glGetIntegerv(GL_TEXTURE_BINDING_2D, &before_);
        glBindTexture(GL_TEXTURE_2D, name);
    }
    ~BoundTexture() { glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(before_)); }
    BoundTexture(const BoundTexture&) = delete;
    BoundTexture& operator=(const BoundTexture&) = delete;

  private:
    GLint before_ = 0;
};

}  // namespace

base::Result<PictureWay> picture_way(const char* word, const char* where) {
    const std::string_view said = word ? word : "";
    if (said.empty() || said == "automatic") return PictureWay::automatic;
    if (said == "card") return PictureWay::card;
    if (said == "processor") return PictureWay::processor;
    return base::Error{
        base::Category::bad_input,
        tr("Pictures are made on the 'card' or the 'processor', or left 'automatic', not '{}'.", said),
        where};
}

bool draws_in_software() {
    const GLubyte* renderer = glGetString(GL_RENDERER);
    std::string name = renderer ? reinterpret_cast<const char*>(renderer) : "";
    std::transform(name.begin(), name.end(), name.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    // Mesa's renderers, Google's, and the words that drivers elsewhere use.
    for (const char* software : {"llvmpipe", "softpipe", "swrast", "swiftshader", "software", "lavapipe"})
        if (name.find(software) != std::string::npos) return true;
    return false;
}

Texture::Texture(const media::RgbaImage& image) {
    std::vector<std::uint8_t> smaller;
    make_smaller_levels(image, smaller);
    upload(image, smaller);
}

Texture::~Texture() {
    if (name_ != 0) glDeleteTextures(1, &name_);
}

Texture::Texture(Texture&& other) noexcept
    : name_(std::exchange(other.name_, 0)),
      width_(other.width_),
      height_(other.height_),
      shown_width_(other.shown_width_),
      shown_height_(other.shown_height_) {}

Texture& Texture::operator=(Texture&& other) noexcept {
    std::swap(name_, other.name_);
    std::swap(width_, other.width_);
    std::swap(height_, other.height_);
    std::swap(shown_width_, other.shown_width_);
    std::swap(shown_height_, other.shown_height_);
    return *this;
}

void Texture::stands_for(int width, int height) {
    shown_width_ = width;
    shown_height_ = height;
}

void Texture::reserve(int width, int height) {
    stands_for(width, height);
    if (name_ != 0 && width == width_ && height == height_) return;
    if (name_ == 0) glGenTextures(1, &name_);
    const BoundTexture bound(name_);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR_MIPMAP_LINEAR);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAX_LEVEL, kSmallerLevels);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
    width_ = width;
    height_ = height;
}

void Texture::upload(const media::RgbaImage& image, const std::vector<std::uint8_t>& smaller) {
    reserve(image.width, image.height);
    const BoundTexture bound(name_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, width_, height_, GL_RGBA, GL_UNSIGNED_BYTE, image.pixels.data());
    // A 1080p picture is often drawn at half its size; without smaller levels thin lines would flicker. They
    // come with it, since a card that is drawn by the processor takes four times as long for them.
    const std::uint8_t* from = smaller.data();
    int width = width_, height = height_;
    for (int level = 1; level <= kSmallerLevels && (width > 1 || height > 1); ++level) {
        width = std::max(1, width / 2);
        height = std::max(1, height / 2);
        glTexImage2D(GL_TEXTURE_2D, level, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, from);
        from += static_cast<std::ptrdiff_t>(4) * width * height;
    }
}

void Texture::make_levels() {
    const BoundTexture bound(name_);
    glGenerateMipmap(GL_TEXTURE_2D);
}

PictureTextures::Kept* PictureTextures::find(const media::Picture* picture, const media::Picture* other) {
    for (Kept& kept : kept_)
        if (kept.picture.get() == picture && kept.other.get() == other) return &kept;
    return nullptr;
}

PictureTextures::Kept& PictureTextures::slot() {
    if (kept_.size() < kMostKept) return kept_.emplace_back();
    return *std::min_element(kept_.begin(), kept_.end(),
                             [](const Kept& a, const Kept& b) { return a.used < b.used; });
}

bool PictureTextures::draw_on_card(const media::Picture& picture, Kept& kept) {
    kept.texture.reserve(picture.upright_width(), picture.upright_height());
    if (!shader_.draw(picture, kept.texture.name())) return false;
    kept.texture.make_levels();
    return true;
}

// Once, with the first picture. Where the card is drawn by the processor, its shader takes ten times as long
// as to_rgba, and the window's thread waits for it.
void PictureTextures::choose_way() {
    if (way_ == PictureWay::automatic) way_ = draws_in_software() ? PictureWay::processor : PictureWay::card;
}

PictureTextures::Kept* PictureTextures::filled(const std::shared_ptr<const media::Picture>& picture) {
    Kept* kept = find(picture.get(), nullptr);
    if (given_only_) return kept;
    choose_way();
    if (!kept) {
        kept = fresh(picture);
    } else if (kept->half && fineness_ == Fineness::whole) {
        if (auto made = maker_.take(picture)) fill(*kept, std::move(made));
    }
    if (kept) kept->used = ++clock_;
    return kept;
}

// Of a picture that has no texture yet; null while it is being made.
PictureTextures::Kept* PictureTextures::fresh(const std::shared_ptr<const media::Picture>& picture) {
    const bool on_card = way_ == PictureWay::card && PictureShader::knows(*picture);
    std::unique_ptr<MadeImage> made;
    if (!on_card) {
        made = maker_.take(picture, fineness_);
        if (!made) return nullptr;
    }
    Kept& kept = slot();
    kept.picture.reset();  // until it holds this one
    kept.other.reset();
    kept.failed = kept.half = false;
    if (on_card && !draw_on_card(*picture, kept)) {
        way_ = PictureWay::processor;  // the card's programs do not work
        return fresh(picture);
    }
    kept.picture = picture;
    if (made) fill(kept, std::move(made));
    return &kept;
}

void PictureTextures::fill(Kept& kept, std::unique_ptr<MadeImage> made) {
    kept.failed = made->image.pixels.empty();
    kept.half = made->fineness == Fineness::half;
    if (!kept.failed) {
        kept.texture.upload(made->image, made->smaller);
        kept.texture.stands_for(kept.picture->upright_width(), kept.picture->upright_height());
    }
    maker_.give_back(std::move(made));
}

void PictureTextures::show_only(const std::vector<GivenPicture>& given) {
    kept_.clear();
    given_only_ = true;
    std::vector<std::uint8_t> smaller;
    for (const GivenPicture& one : given) {
        make_smaller_levels(one.image, smaller);
        Kept& kept = kept_.emplace_back();
        kept.texture.upload(one.image, smaller);
        kept.picture = one.picture;
    }
}

bool PictureTextures::can_show(const std::shared_ptr<const media::Picture>& picture) {
    return !picture || filled(picture);
}

const Texture* PictureTextures::get(const std::shared_ptr<const media::Picture>& picture) {
    const Kept* kept = picture ? filled(picture) : nullptr;
    return kept ? kept->shown() : nullptr;
}

const Texture* PictureTextures::difference(const std::shared_ptr<const media::Picture>& a,
                                           const std::shared_ptr<const media::Picture>& b) {
    if (!a || !b) return nullptr;
    const int width = a->upright_width(), height = a->upright_height();
    if (width != b->upright_width() || height != b->upright_height()) return nullptr;
    Kept* kept = find(a.get(), b.get());
    if (!kept) {
        // Both before any slot is taken: taking one may move the others.
        const bool both = can_show(a) && can_show(b);
        const Texture *first = both ? get(a) : nullptr, *second = both ? get(b) : nullptr;
        if (!first || !second || find(a.get(), nullptr)->half || find(b.get(), nullptr)->half) return nullptr;
        const unsigned names[] = {first->name(), second->name()};
        kept = &slot();
        kept->picture.reset();
        kept->other.reset();
        kept->failed = kept->half = false;
        kept->texture.reserve(width, height);
        if (!shader_.draw_difference(names[0], names[1], width, height, kept->texture.name())) return nullptr;
        kept->texture.make_levels();
        kept->picture = a;
        kept->other = b;
    }
    kept->used = ++clock_;
    return &kept->texture;
}

}  // namespace plumbmark::desk
