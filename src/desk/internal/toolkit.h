// The toolkit's context and its OpenGL half, set up and taken down in one place.
#pragma once

#include "desk/internal/gui.h"

namespace plumbmark::desk {

/// Owns the toolkit's context. A GL context must be current from start() on, also when it goes.
class Toolkit {
  public:
    Toolkit();
    ~Toolkit();
    Toolkit(const Toolkit&) = delete;
    Toolkit& operator=(const Toolkit&) = delete;
    [[nodiscard]] bool start();  ///< false where OpenGL 3 is missing
    void upload_fonts();         ///< after the atlas was built
    void new_frame();
    void render();  ///< into the bound framebuffer

  private:
    bool started_ = false;
};

}  // namespace plumbmark::desk
