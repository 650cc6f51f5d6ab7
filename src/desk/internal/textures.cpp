#define GL_GLEXT_PROTOTYPES
#include "desk/internal/textures.h"

#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace plumbmark::desk {
namespace {

constexpr std::size_t kMostKept = 8;

media::RgbaImage difference_image(const media::RgbaImage& a, const media::RgbaImage& b) {
    media::RgbaImage out = a;
    for (std::size_t i = 0; i < out.pixels.size(); ++i) {
        const int apart = 4 * std::abs(int{a.pixels[i]} - int{b.pixels[i]});
        out.pixels[i] = i % 4 == 3 ? 255 : static_cast<std::uint8_t>(std::min(255, apart));
    }
    return out;
}

}  // namespace

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

void Texture::upload(const media::RgbaImage& image) {
    GLint before = 0;
    glGetIntegerv(GL_TEXTURE_BINDING_2D, &before);
    const bool fresh = name_ == 0 || image.width != width_ || image.height != height_;
    if (name_ == 0) glGenTextures(1, &name_);
    glBindTexture(GL_TEXTURE_2D, name_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
    if (fresh) {
        glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR_MIPMAP_LINEAR);
        glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
        glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
        glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
        glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, image.width, image.height, 0, GL_RGBA, GL_UNSIGNED_BYTE,
                     image.pixels.data());
    } else {
        glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, image.width, image.height, GL_RGBA, GL_UNSIGNED_BYTE,
                        image.pixels.data());
    }
    // A 1080p picture is often drawn at half its size; without smaller levels thin lines would flicker.
    glGenerateMipmap(GL_TEXTURE_2D);
    width_ = image.width;
    height_ = image.height;
    glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(before));
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

const Texture* PictureTextures::get(const std::shared_ptr<const media::Picture>& picture) {
    if (!picture) return nullptr;
    Kept* kept = find(picture.get(), nullptr);
    if (!kept) {
        const media::RgbaImage image = media::to_rgba(*picture);
        if (image.pixels.empty()) return nullptr;
        kept = &slot();
        kept->picture = picture;
        kept->other = nullptr;
        kept->texture.upload(image);
    }
    kept->used = ++clock_;
    return &kept->texture;
}

const Texture* PictureTextures::difference(const std::shared_ptr<const media::Picture>& a,
                                           const std::shared_ptr<const media::Picture>& b) {
    if (!a || !b) return nullptr;
    Kept* kept = find(a.get(), b.get());
    if (!kept) {
        const media::RgbaImage first = media::to_rgba(*a), second = media::to_rgba(*b);
        if (first.pixels.empty() || first.width != second.width || first.height != second.height)
            return nullptr;
        kept = &slot();
        kept->picture = a;
        kept->other = b;
        kept->texture.upload(difference_image(first, second));
    }
    kept->used = ++clock_;
    return &kept->texture;
}

}  // namespace plumbmark::desk
