#define GL_GLEXT_PROTOTYPES
#include "desk/internal/gl_canvas.h"

#include <EGL/egl.h>
#include <EGL/eglext.h>
#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <string>

namespace plumbmark::desk {
namespace {

base::Error no_canvas(const std::string& what) {
    return {base::Category::unsupported,
            "The desk cannot be drawn without a window here: " + what +
                ". Install Mesa's software renderer (libegl1 and libgl1-mesa-dri).",
            ""};
}

}  // namespace

struct GlCanvas::Context {
    EGLDisplay display = EGL_NO_DISPLAY;
    EGLContext context = EGL_NO_CONTEXT;
    ~Context() {
        if (display == EGL_NO_DISPLAY) return;
        eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
        if (context != EGL_NO_CONTEXT) eglDestroyContext(display, context);
        eglTerminate(display);
    }
};

base::Result<std::unique_ptr<GlCanvas>> GlCanvas::create(int width, int height) {
    std::unique_ptr<GlCanvas> canvas(new GlCanvas);
    canvas->context_ = std::make_unique<Context>();
    Context& c = *canvas->context_;
    const auto get_display =
        reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
    if (!get_display) return no_canvas("EGL has no platform displays");
    c.display = get_display(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr);
    if (c.display == EGL_NO_DISPLAY || !eglInitialize(c.display, nullptr, nullptr)) {
        c.display = EGL_NO_DISPLAY;
        return no_canvas("EGL has no display without a surface");
    }
    if (!eglBindAPI(EGL_OPENGL_API)) return no_canvas("EGL offers no OpenGL");
    const EGLint wanted[] = {EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT, EGL_SURFACE_TYPE, EGL_PBUFFER_BIT,
                             EGL_NONE};
    EGLConfig config = nullptr;
    EGLint found = 0;
    if (!eglChooseConfig(c.display, wanted, &config, 1, &found) || found == 0) config = nullptr;
    const EGLint version[] = {EGL_CONTEXT_MAJOR_VERSION, 3, EGL_CONTEXT_MINOR_VERSION, 0, EGL_NONE};
    c.context = eglCreateContext(c.display, config, EGL_NO_CONTEXT, version);
    if (c.context == EGL_NO_CONTEXT || !eglMakeCurrent(c.display, EGL_NO_SURFACE, EGL_NO_SURFACE, c.context))
        return no_canvas("there is no OpenGL 3");
    GLint most = 0;
    glGetIntegerv(GL_MAX_RENDERBUFFER_SIZE, &most);
    if (width > most || height > most)
        return base::Error{base::Category::bad_input,
                           "The picture is larger than this renderer can draw; at most " +
                               std::to_string(most) + " pixels to a side.",
                           ""};
    canvas->width_ = width;
    canvas->height_ = height;
    glGenFramebuffers(1, &canvas->framebuffer_);
    glGenRenderbuffers(1, &canvas->colour_);
    glBindFramebuffer(GL_FRAMEBUFFER, canvas->framebuffer_);
    glBindRenderbuffer(GL_RENDERBUFFER, canvas->colour_);
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, width, height);
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, canvas->colour_);
    if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
        return no_canvas("a framebuffer of this size cannot be made");
    return canvas;
}

GlCanvas::~GlCanvas() {
    if (!framebuffer_) return;
    glDeleteFramebuffers(1, &framebuffer_);
    glDeleteRenderbuffers(1, &colour_);
}

void GlCanvas::begin() {
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
    glViewport(0, 0, width_, height_);
    glClearColor(0, 0, 0, 1);
    glClear(GL_COLOR_BUFFER_BIT);
}

media::RgbaImage GlCanvas::read() const {
    const auto row = static_cast<std::size_t>(width_) * 4, rows = static_cast<std::size_t>(height_);
    std::vector<std::uint8_t> below(row * rows);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, width_, height_, GL_RGBA, GL_UNSIGNED_BYTE, below.data());
    media::RgbaImage image{width_, height_, std::vector<std::uint8_t>(row * rows)};
    for (std::size_t y = 0; y < rows; ++y)
        std::copy_n(below.begin() + static_cast<std::ptrdiff_t>((rows - 1 - y) * row), row,
                    image.pixels.begin() + static_cast<std::ptrdiff_t>(y * row));
    for (std::size_t i = 3; i < image.pixels.size(); i += 4)
        image.pixels[i] = 255;
    return image;
}

}  // namespace plumbmark::desk
