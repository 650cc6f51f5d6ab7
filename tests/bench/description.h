// What was measured, and on what.
#pragma once

#include <string>

#include "clip.h"

namespace plumbmark::bench {

/// "h264 1920 x 1080, 1200 frames in 7 groups, 20.0 s, 16.1 Mbit/s".
[[nodiscard]] std::string content_text(const Clip& clip);
/// Processor, its number of cores, and the release of libav.
[[nodiscard]] std::string machine_text();

}  // namespace plumbmark::bench
