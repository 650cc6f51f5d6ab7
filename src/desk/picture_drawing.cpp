#include "desk/internal/picture_drawing.h"

#include <GL/gl.h>

#include <cmath>
#include <cstdint>

namespace plumbmark::desk {
namespace {

// Beside the texture's name, in what the toolkit hands on.
constexpr std::uintptr_t kReal = 1, kOpaque = 2, kQuick = 4, kOneLevel = 8;
constexpr int kFlags = 4;

/// Carried out while rendering, just before the picture: one texture may be drawn at two sizes.
void set_filter(const ImDrawList*, const ImDrawCmd* command) {
    static const bool software = draws_in_software();
    const auto packed = reinterpret_cast<std::uintptr_t>(command->UserCallbackData);
    GLint before = 0;
    glGetIntegerv(GL_TEXTURE_BINDING_2D, &before);
    glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(packed >> kFlags));
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, packed & kReal ? GL_NEAREST : GL_LINEAR);
    // Between two smaller levels twice as much is read for each pixel: that is for a picture that stands
    // still.
    const bool quick = software && (packed & kQuick);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER,
                    !quick               ? GL_LINEAR_MIPMAP_LINEAR
                    : packed & kOneLevel ? GL_LINEAR
                                         : GL_LINEAR_MIPMAP_NEAREST);
    glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(before));
    if (packed & kOpaque) glDisable(GL_BLEND);
}

void blend_again(const ImDrawList*, const ImDrawCmd*) {
    glEnable(GL_BLEND);
}

}  // namespace

void add_picture(ImDrawList* list, const Texture& texture, ImVec2 from, ImVec2 to, ImVec2 uv_from,
                 ImVec2 uv_to, ImU32 tint, bool quick) {
    const ImVec2 pixels = ImGui::GetIO().DisplayFramebufferScale;
    const float wide = std::abs((uv_to.x - uv_from.x) * static_cast<float>(texture.width()));
    const float high = std::abs((uv_to.y - uv_from.y) * static_cast<float>(texture.height()));
    const bool real = (to.x - from.x) * pixels.x > kRealPixelsFrom * wide &&
                      (to.y - from.y) * pixels.y > kRealPixelsFrom * high;
    // Nearest of the levels is the largest from the square root of a half on; llvmpipe has a quicker way
    // where there is no other to choose.
    const float texels = std::abs(uv_to.x - uv_from.x) * static_cast<float>(texture.texels());
    const bool one_level = (to.x - from.x) * pixels.x >= 0.7072F * texels;
    const bool opaque = (tint & IM_COL32_A_MASK) == IM_COL32_A_MASK;
    const std::uintptr_t packed = std::uintptr_t{texture.name()} << kFlags | (real ? kReal : 0) |
                                  (opaque ? kOpaque : 0) | (quick ? kQuick : 0) | (one_level ? kOneLevel : 0);
    list->AddCallback(set_filter, reinterpret_cast<void*>(packed));
    list->AddImage(as_texture(texture.name()), from, to, uv_from, uv_to, tint);
    if (opaque) list->AddCallback(blend_again, nullptr);
}

double upright_pixel_aspect(const media::Picture& picture) {
    const base::Rational aspect = picture.pixel_aspect();
    const double wide = static_cast<double>(aspect.num) / static_cast<double>(aspect.den);
    return picture.quarter_turns() % 2 == 0 ? wide : 1 / wide;
}

}  // namespace plumbmark::desk
