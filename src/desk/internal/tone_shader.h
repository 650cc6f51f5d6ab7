// Pictures shown brighter or with more contrast, while they are drawn: nothing of the picture itself changes.
// UI thread only, with the GL context current while rendering and when it goes.
#pragma once

#include <array>
#include <cstddef>

#include "desk/internal/gui.h"
#include "desk/internal/tone.h"

namespace plumbmark::desk {

/// Shows what is drawn through it in a tone.
class ToneShader {
  public:
    ToneShader() = default;
    ~ToneShader();
    ToneShader(const ToneShader&) = delete;
    ToneShader& operator=(const ToneShader&) = delete;

    /// What is added to the drawing between these two is shown in this tone. A plain one adds nothing;
    /// neither does a card that cannot: pictures are then shown as they are.
    void begin(ImDrawList* list, const Tone& tone);
    void end(ImDrawList* list, const Tone& tone);

  private:
    struct Asked {
        ToneShader* shader = nullptr;
        Tone tone;
    };
    static void use(const ImDrawList* list, const ImDrawCmd* command);
    void use(const Tone& tone);

    // Of one drawing: the pictures of four cameras, their insets and ghosts.
    static constexpr std::size_t kMostAtOnce = 32;
    std::array<Asked, kMostAtOnce> asked_{};
    std::size_t next_ = 0;
    unsigned program_ = 0;
    bool tried_ = false;
};

}  // namespace plumbmark::desk
