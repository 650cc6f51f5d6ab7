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
    /// Says that the toolkit was given a key or a letter.
    void note_input() { input_waiting_ = true; }
    /// It has not taken all of that yet: it does so in the next frame, or spreads quick input over several.
    [[nodiscard]] bool has_input_waiting() const { return input_waiting_; }
    void new_frame();
    void render();  ///< into the bound framebuffer

  private:
    bool started_ = false;
    bool input_waiting_ = false;
};

}  // namespace plumbmark::desk
