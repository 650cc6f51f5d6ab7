#define GL_GLEXT_PROTOTYPES
#include "desk/internal/textures.h"

#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cstring>
#include <string>
#include <string_view>
#include <utility>

namespace plumbmark::desk {
namespace {

constexpr std::size_t kMostKept = 8;

// The mean of four bytes, in each half of a word at once: rounded to nearest.
std::uint32_t mean(std::uint32_t a, std::uint32_t b, std::uint32_t c, std::uint32_t d) {
    constexpr std::uint32_t even = 0x00FF00FF, half = 0x00020002;
    const std::uint32_t low = (a & even) + (b & even) + (c & even) + (d & even) + half;
    const std::uint32_t high = (a >> 8 & even) + (b >> 8 & even) + (c >> 8 & even) + (d >> 8 & even) + half;
    return (low >> 2 & even) | (high >> 2 & even) << 8;
}

// Each pixel the mean of four; a last odd row or column is left out, as the next level has no place for it.
void halve(const std::uint8_t* from, int width, int height, std::uint8_t* to) {
    const auto pixel = [](const std::uint8_t* row, int x) {
        std::uint32_t value;
        std::memcpy(&value, row + static_cast<std::ptrdiff_t>(4) * x, 4);
        return value;
    };
    const int half_width = std::max(1, width / 2), half_height = std::max(1, height / 2);
    const int right = width > 1 ? 1 : 0;
    const std::ptrdiff_t line = static_cast<std::ptrdiff_t>(4) * width;
    for (int y = 0; y < half_height; ++y) {
        const std::uint8_t* row = from + 2 * y * line;
        const std::uint8_t* below = height > 1 ? row + line : row;
        for (int x = 0; x < half_width; ++x) {
            const std::uint32_t value = mean(pixel(row, 2 * x), pixel(row, 2 * x + right),
                                             pixel(below, 2 * x), pixel(below, 2 * x + right));
            std::memcpy(to + static_cast<std::ptrdiff_t>(4) * x, &value, 4);
        }
        to += static_cast<std::ptrdiff_t>(4) * half_width;
    }
}

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
    return base::Error{base::Category::bad_input,
                       "Pictures are made on the 'card' or the 'processor', or left 'automatic', not '" +
                           std::string(said) + "'.",
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

Texture::~Texture() {
    if (name_ != 0) glDeleteTextures(1, &name_);
}

Texture::Texture(Texture&& other) noexcept
    : name_(std::exchange(other.name_, 0)), width_(other.width_), height_(other.height_) {}

Texture& Texture::operator=(Texture&& other) noexcept {
    std::swap(name_, other.name_);
    std::swap(width_, other.width_);
    std::swap(height_, other.height_);
    return *this;
}

void Texture::reserve(int width, int height) {
    if (name_ != 0 && width == width_ && height == height_) return;
    if (name_ == 0) glGenTextures(1, &name_);
    const BoundTexture bound(name_);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR_MIPMAP_LINEAR);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAX_LEVEL, smaller_levels);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
    width_ = width;
    height_ = height;
}

void Texture::upload(const media::RgbaImage& image) {
    reserve(image.width, image.height);
    const BoundTexture bound(name_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, width_, height_, GL_RGBA, GL_UNSIGNED_BYTE, image.pixels.data());
    // A 1080p picture is often drawn at half its size; without smaller levels thin lines would flicker. Made
    // here, since a card that is drawn by the processor takes four times as long for them.
    const auto room = std::make_unique_for_overwrite<std::uint8_t[]>(image.pixels.size() / 2 + 64);
    const std::uint8_t* from = image.pixels.data();
    std::uint8_t* to = room.get();
    int width = width_, height = height_;
    for (int level = 1; level <= smaller_levels && (width > 1 || height > 1); ++level) {
        halve(from, width, height, to);
        width = std::max(1, width / 2);
        height = std::max(1, height / 2);
        glTexImage2D(GL_TEXTURE_2D, level, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, to);
        from = to;
        to += static_cast<std::ptrdiff_t>(4) * width * height;
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

bool PictureTextures::fill_by(PictureWay way, const media::Picture& picture, Texture& texture) {
    if (way == PictureWay::card) {
        texture.reserve(picture.upright_width(), picture.upright_height());
        if (shader_.draw(picture, texture.name())) {
            texture.make_levels();
            return true;
        }
    }
    if (!media::to_rgba(picture, media::Orientation::upright, converted_)) return false;
    texture.upload(converted_);
    return true;
}

// Once, with the first picture. The card draws parts of it only, from which the rest follows: a whole one can
// take the better part of a second there.
void PictureTextures::choose_way(const media::Picture& picture, Texture& texture) {
    if (!draws_in_software()) {
        way_ = PictureWay::card;
        return;
    }
    bool can = true;
    const auto took = [](const auto& work) {
        const auto begun = std::chrono::steady_clock::now();
        work();
        glFinish();
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    };
    const auto card = [&](int part) { can = shader_.draw(picture, texture.name(), part) && can; };
    texture.reserve(picture.upright_width(), picture.upright_height());
    (void)took([&] { card(16); });  // makes the program ready
    const double sixteenth = took([&] { card(16); }), eighth = took([&] { card(8); });
    const double whole_by_card =
        sixteenth + 15 * std::max(0.0, eighth - sixteenth) + took([&] { texture.make_levels(); });
    (void)fill_by(PictureWay::processor, picture, texture);  // makes its memory ready
    const double by_processor = took([&] { (void)fill_by(PictureWay::processor, picture, texture); });
    way_ = can && whole_by_card < by_processor ? PictureWay::card : PictureWay::processor;
}

bool PictureTextures::fill(const media::Picture& picture, Texture& texture) {
    if (way_ == PictureWay::automatic) choose_way(picture, texture);
    return fill_by(way_, picture, texture);
}

const Texture* PictureTextures::get(const std::shared_ptr<const media::Picture>& picture) {
    if (!picture) return nullptr;
    Kept* kept = find(picture.get(), nullptr);
    if (!kept) {
        kept = &slot();
        kept->picture.reset();  // until it holds this one
        kept->other.reset();
        if (!fill(*picture, kept->texture)) return nullptr;
        kept->picture = picture;
    }
    kept->used = ++clock_;
    return &kept->texture;
}

const Texture* PictureTextures::difference(const std::shared_ptr<const media::Picture>& a,
                                           const std::shared_ptr<const media::Picture>& b) {
    if (!a || !b) return nullptr;
    const int width = a->upright_width(), height = a->upright_height();
    if (width != b->upright_width() || height != b->upright_height()) return nullptr;
    Kept* kept = find(a.get(), b.get());
    if (!kept) {
        Texture first, second;
        if (!fill(*a, first) || !fill(*b, second)) return nullptr;
        kept = &slot();
        kept->picture.reset();
        kept->other.reset();
        kept->texture.reserve(width, height);
        if (!shader_.draw_difference(first.name(), second.name(), width, height, kept->texture.name()))
            return nullptr;
        kept->texture.make_levels();
        kept->picture = a;
        kept->other = b;
    }
    kept->used = ++clock_;
    return &kept->texture;
}

}  // namespace plumbmark::desk
