// A place to draw without a window: an EGL context with no surface, and a framebuffer to read back.
#pragma once

#include <memory>

#include "base/result.h"
#include "media/picture.h"

namespace plumbmark::desk {

/// Owns the context, which is current on the calling thread for the canvas' life.
class GlCanvas {
  public:
    /// Error unsupported where there is no EGL without a surface or no OpenGL 3.
    [[nodiscard]] static base::Result<std::unique_ptr<GlCanvas>> create(int width, int height);
    ~GlCanvas();
    GlCanvas(const GlCanvas&) = delete;
    GlCanvas& operator=(const GlCanvas&) = delete;

    void begin();  ///< binds the framebuffer and clears it
    /// What was drawn, upright, opaque.
    [[nodiscard]] media::RgbaImage read() const;

  private:
    GlCanvas() = default;
    struct Context;
    std::unique_ptr<Context> context_;
    int width_ = 0, height_ = 0;
    unsigned framebuffer_ = 0, colour_ = 0;
};

}  // namespace plumbmark::desk
