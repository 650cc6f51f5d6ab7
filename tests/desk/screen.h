// A canvas with the toolkit on it: drawing in a GL context without a window, read back pixel by pixel.
#pragma once

#include <catch2/catch.hpp>
#include <functional>
#include <iostream>
#include <memory>

#include "desk/internal/gl_canvas.h"
#include "desk/internal/toolkit.h"

namespace plumbmark::test {

struct Screen {
    std::unique_ptr<desk::GlCanvas> canvas;
    desk::Toolkit toolkit;

    media::RgbaImage drawn(const std::function<void(ImDrawList*)>& draw) {
        canvas->begin();
        toolkit.new_frame();
        draw(ImGui::GetForegroundDrawList());
        toolkit.render();
        return canvas->read();
    }
};

/// Square, with the toolkit's own font; null (and said so) where there is no OpenGL.
inline std::unique_ptr<Screen> screen_or_skip(int side) {
    auto canvas = desk::GlCanvas::create(side, side);
    if (!canvas) {
        std::cout << "skipped: " << canvas.error().text() << "\n";
        return nullptr;
    }
    auto screen = std::make_unique<Screen>();
    screen->canvas = std::move(*canvas);
    REQUIRE(screen->toolkit.start());
    ImGui::GetIO().DisplaySize = {static_cast<float>(side), static_cast<float>(side)};
    ImGui::GetIO().DeltaTime = 1.0F / 60;
    ImGui::GetIO().Fonts->AddFontDefault();
    ImGui::GetIO().Fonts->Build();
    screen->toolkit.upload_fonts();
    return screen;
}

inline const std::uint8_t* pixel(const media::RgbaImage& image, int x, int y) {
    return image.pixels.data() + 4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width) +
                                      static_cast<std::size_t>(x));
}

}  // namespace plumbmark::test
