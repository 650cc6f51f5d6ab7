#include "desk/internal/picture_drawing.h"

#include <GL/gl.h>

#include <cmath>
#include <cstdint>

namespace plumbmark::desk {
namespace {

/// Carried out while rendering, just before the picture: one texture may be drawn at two sizes.
void set_filter(const ImDrawList*, const ImDrawCmd* command) {
    const auto packed = reinterpret_cast<std::uintptr_t>(command->UserCallbackData);
    GLint before = 0;
    glGetIntegerv(GL_TEXTURE_BINDING_2D, &before);
    glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(packed >> 1));
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, packed & 1 ? GL_NEAREST : GL_LINEAR);
    glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(before));
}

}  // namespace

void add_picture(ImDrawList* list, const Texture& texture, ImVec2 from, ImVec2 to, ImVec2 uv_from,
                 ImVec2 uv_to, ImU32 tint) {
    const ImVec2 pixels = ImGui::GetIO().DisplayFramebufferScale;
    const float wide = std::abs((uv_to.x - uv_from.x) * static_cast<float>(texture.width()));
    const float high = std::abs((uv_to.y - uv_from.y) * static_cast<float>(texture.height()));
    const bool real = (to.x - from.x) * pixels.x > kRealPixelsFrom * wide &&
                      (to.y - from.y) * pixels.y > kRealPixelsFrom * high;
    const std::uintptr_t packed = std::uintptr_t{texture.name()} << 1 | (real ? 1 : 0);
    list->AddCallback(set_filter, reinterpret_cast<void*>(packed));
    list->AddImage(as_texture(texture.name()), from, to, uv_from, uv_to, tint);
}

}  // namespace plumbmark::desk
