#include "desk/internal/fonts.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>

namespace plumbmark::desk {
namespace {

// Latin with its extensions, Greek, Cyrillic, Vietnamese, and the signs the desk itself writes. Other scripts
// come as pictures (internal/words.h).
constexpr ImWchar kRanges[] = {0x0020, 0x024F, 0x0370, 0x03FF, 0x0400, 0x052F, 0x1E00,
                               0x1EFF, 0x2010, 0x2027, 0x2030, 0x205E, 0x20A0, 0x20BF,
                               0x2190, 0x2193, 0x2212, 0x2212, 0x2264, 0x2265, 0};

std::string face(const char* inter, const char* fallback) {
    const std::string wanted = std::string("/usr/share/fonts/opentype/inter/") + inter;
    if (std::filesystem::exists(wanted)) return wanted;
    const std::string other = std::string("/usr/share/fonts/truetype/dejavu/") + fallback;
    return std::filesystem::exists(other) ? other : std::string();
}

ImFont* add(const char* inter, const char* fallback, float pixels) {
    ImFontAtlas* atlas = ImGui::GetIO().Fonts;
    const std::string file = face(inter, fallback);
    ImFontConfig config;
    config.OversampleH = 2;
    config.OversampleV = 1;
    config.SizePixels = std::round(pixels);
    if (file.empty()) return atlas->AddFontDefault(&config);
    return atlas->AddFontFromFileTTF(file.c_str(), config.SizePixels, &config, kRanges);
}

/// Inter's own figures are proportional, and the toolkit cannot switch its tabular ones on: a running frame
/// number would wobble.
void even_digits(ImFont* font) {
    float widest = 0;
    for (ImWchar digit = '0'; digit <= '9'; ++digit)
        widest = std::max(widest, font->FindGlyph(digit)->AdvanceX);
    for (ImWchar digit = '0'; digit <= '9'; ++digit)
        set_advance(font, digit, std::round(widest));
}

/// Room for a disc in the atlas; it is drawn once the atlas is built.
int reserve_disc(float radius) {
    const int side = static_cast<int>(std::ceil(2 * radius)) + 2;
    return ImGui::GetIO().Fonts->AddCustomRectRegular(side, side);
}

/// Each pixel as much as the disc covers of it.
Disc draw_disc(int reserved, float radius) {
    ImFontAtlas* atlas = ImGui::GetIO().Fonts;
    const ImFontAtlasCustomRect* rect = atlas->GetCustomRectByIndex(reserved);
    unsigned char* pixels = nullptr;
    int wide = 0, high = 0;
    atlas->GetTexDataAsAlpha8(&pixels, &wide, &high);
    Disc disc{radius, static_cast<float>(rect->Width) / 2, {}, {}};
    for (int y = 0; y < rect->Height; ++y)
        for (int x = 0; x < rect->Width; ++x) {
            const float dx = static_cast<float>(x) + 0.5F - disc.half,
                        dy = static_cast<float>(y) + 0.5F - disc.half;
            const float covered = std::clamp(radius + 0.5F - std::hypot(dx, dy), 0.0F, 1.0F);
            pixels[(rect->Y + y) * wide + rect->X + x] =
                static_cast<unsigned char>(std::lround(covered * 255));
        }
    atlas->CalcCustomRectUV(rect, &disc.uv_from, &disc.uv_to);
    return disc;
}

}  // namespace

Fonts build_fonts(float scale) {
    ImGuiIO& io = ImGui::GetIO();
    io.Fonts->Clear();
    io.Fonts->TexDesiredWidth = scale > 1.5F ? 4096 : 2048;
    Fonts fonts;
    fonts.body = add("Inter-Regular.otf", "DejaVuSans.ttf", 15 * scale);
    fonts.strong = add("Inter-SemiBold.otf", "DejaVuSans-Bold.ttf", 15 * scale);
    fonts.italic = add("Inter-Italic.otf", "DejaVuSans.ttf", 15 * scale);
    fonts.small = add("Inter-Regular.otf", "DejaVuSans.ttf", 13 * scale);
    fonts.title = add("Inter-SemiBold.otf", "DejaVuSans-Bold.ttf", 19 * scale);
    fonts.inter = face("Inter-Regular.otf", "").find("inter") != std::string::npos;
    const float radius = std::round(kDiscRadius * scale);
    const int disc = reserve_disc(radius);
    io.Fonts->Build();
    fonts.disc = draw_disc(disc, radius);
    for (ImFont* font : {fonts.body, fonts.strong, fonts.italic, fonts.small, fonts.title})
        even_digits(font);
    io.FontDefault = fonts.body;
    return fonts;
}

}  // namespace plumbmark::desk
