// A view for tests: close, small, quick to render.
#pragma once

#include "runs.h"

namespace plumbmark::scene {

/// 320 x 240 at the first bollards from the long side, 60 frames/s.
inline View small_view() {
    View view;
    view.clip = "small";
    view.camera = {{1.6, -6.0, 1.6}, {1.6, 0, 1.0}, 420, 320, 240};
    view.clock = {{1, 15360}, 0, 256, 0, 0, 0};
    view.shutter = {5'000'000};
    view.to = {1'000'000'000};
    return view;
}

}  // namespace plumbmark::scene
